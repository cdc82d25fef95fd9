import type { Probe } from '../../../shared/model/probes/probe.ts';
import type { TargetSheet } from '../../../shared/model/targets.ts';
import type { DecodedReading } from '../../domain/ingest/decode.ts';
import { autoProvisionedPlace } from '../../domain/places/auto-provision.ts';
import type { Store } from '../../ports.ts';
import type { World } from '../world/world.ts';

export type ContactContext = {
  readonly world: World;
  readonly store: Store;
  readonly targetSheet: TargetSheet;
};

/**
 * The probe of a reading; made on first contact, with a place of its device's name, inside the caller's transaction.
 * @param made gets the id of a place that was made
 * @param wishedPlaceId place of a new probe, where there is such a place
 */
export function probeOf(
  reading: Pick<DecodedReading, 'device' | 'probe' | 'quantity' | 'unit'>,
  context: ContactContext,
  made: { readonly placesMade: Set<string> },
  wishedPlaceId: string | null = null,
): Probe {
  const { world, store } = context;
  const { device, probe: name, quantity, unit } = reading;
  const known = world.probeNamed({ device, name });
  if (known) return known;
  const isWished = wishedPlaceId !== null && world.places.has(wishedPlaceId);
  const placeId = isWished ? wishedPlaceId : placeFor(device, context, made);
  const probe = store.probes.add({
    device,
    name,
    quantity,
    unit: unit ?? '',
    placeId: quantity === null ? null : placeId,
  });
  world.putProbe(probe);
  return probe;
}

/** First contact without set-up: an unknown device makes a place of its own name. */
function placeFor(
  device: string,
  { world, store, targetSheet }: ContactContext,
  made: { readonly placesMade: Set<string> },
): string {
  if (world.places.has(device)) return device;
  const place = autoProvisionedPlace(device);
  store.places.add(place);
  store.places.addTargets(place.id, { fromMs: 0, enteredMs: 0, targets: targetSheet.targets });
  world.putPlace(place);
  made.placesMade.add(place.id);
  return place.id;
}
