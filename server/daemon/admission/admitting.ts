import { DEMO_PLACES } from '../../domain/demo/scenario.ts';
import type { DecodedReading } from '../../domain/ingest/decode.ts';
import { admissionOf } from '../../domain/lifecycle/admission.ts';
import { type ProbeCounts, probeQuota } from '../../domain/lifecycle/quotas.ts';
import type { Store } from '../../ports.ts';
import type { World } from '../world/world.ts';

type Admitting = { readonly world: World; readonly store: Pick<Store, 'access'> };
type Sender = { readonly device: string; readonly wishedPlaceId: string | null };

/** What happens to readings of a device now: they are stored, wait until somebody accepts the device, or are refused. */
export function admissionNow({ device, wishedPlaceId }: Sender, { world, store }: Admitting) {
  const { archived } = world;
  // nearly every message is of a known device: nothing else need be asked then
  if (world.probesOfDevice(device) > 0) return 'store';
  return admissionOf({
    known: false,
    archived:
      archived.itemsOf(device).length > 0 ||
      (wishedPlaceId !== null && archived.place(wishedPlaceId) !== null),
    owned: store.access.owned(),
    trusted: isDemoDevice(device, world) || store.access.device(device) !== null,
  });
}

/** The devices of the demo run inside the daemon itself. */
function isDemoDevice(device: string, { places, archived }: World): boolean {
  if (places.get(device)?.invented === true) return true;
  return archived.place(device) !== null && DEMO_PLACES.some((place) => place.device === device);
}

/**
 * The item of the archive that a reading of a known device belongs to: that of its probe, or, for a new probe, that of
 * the place it would go to. Null for one that is let in.
 */
export function archivedItemOf(
  { device, probe: name }: Pick<DecodedReading, 'device' | 'probe'>,
  wishedPlaceId: string | null,
  { world }: Pick<Admitting, 'world'>,
): number | null {
  if (world.probeNamed({ device, name })) return null;
  const { archived, places } = world;
  const item = archived.probe({ device, name });
  if (item !== null) return item;
  if (wishedPlaceId !== null && places.has(wishedPlaceId)) return null;
  return (wishedPlaceId === null ? null : archived.place(wishedPlaceId)) ?? archived.place(device);
}

/** How many probes that nobody knows yet a device may bring, and the limit that decides. */
export function quotaFor(device: string, { world, store }: Admitting): { room: number; limit: string } {
  const own = new Set(store.access.devices().map(({ name }) => name));
  const ofOwn = [...own].reduce((sum, name) => sum + world.probesOfDevice(name), 0);
  const counts: ProbeCounts = {
    own: own.has(device),
    ofDevice: world.probesOfDevice(device),
    shared: world.probes.size - ofOwn,
    inAll: world.probes.size,
  };
  return probeQuota(counts);
}
