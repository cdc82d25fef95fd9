import { MS_PER_HOUR } from '../../../shared/exposure/series.ts';
import type { Sheet } from '../../../shared/model/cuttings/sheet.ts';
import type { TargetsFrom } from '../../../shared/model/targets.ts';
import { firstDifferenceMs, spliced, targetsTimeline } from '../../domain/batches/timeline.ts';
import { horizonMs } from '../../domain/disk-space/horizon.ts';
import { targetsInForce } from '../../domain/places/targets-history.ts';
import type { Clock, Store } from '../../ports.ts';
import type { World } from './world.ts';

/** An hour later than any. */
export const LAST_HOUR = Number.MAX_SAFE_INTEGER;

/** Sheets, shipped and own: that version, or the newest; null: there is none. */
export type SheetOf = (id: string, version?: number) => Sheet | null;

type TimelineContext = {
  readonly world: World;
  readonly store: Store;
  readonly clock: Pick<Clock, 'nowMs'>;
  readonly sheetOf: SheetOf;
};

/**
 * Does work that may bear on the targets of some places, inside the caller's transaction, and makes these again from
 * those set by hand and from batches. What was counted for good stays as it was counted; exposures from the first
 * change on are counted again.
 * @returns what the work gave, and the places whose targets changed
 */
export function withTargets<T>(
  placeIds: Iterable<string>,
  context: TimelineContext,
  work: () => T,
): { readonly result: T; readonly changed: readonly string[] } {
  const { store } = context;
  const inForce = (placeId: string) => targetsInForce(store.places.targetsEntries(placeId));
  const before = new Map([...new Set(placeIds)].map((placeId) => [placeId, inForce(placeId)]));
  const result = work();
  const changed = [...before].filter(([placeId, timeline]) => remake(placeId, timeline, context));
  return { result, changed: changed.map(([placeId]) => placeId) };
}

function remake(placeId: string, before: readonly TargetsFrom[], context: TimelineContext): boolean {
  const { world, store, clock, sheetOf } = context;
  const hand = store.places.handTargets(placeId);
  const made = targetsTimeline({
    placeId,
    hand,
    batches: store.batches.atPlace(placeId),
    choices: store.batches.choices(placeId),
    sheetOf,
  });
  const after = spliced(before, made, horizonMs(store.horizon.get()).takenFromMs);
  const holdsAlone = hand.length > 0 && firstDifferenceMs(targetsInForce(hand), after) === null;
  const enteredMs = clock.nowMs();
  store.places.putTimeline(placeId, holdsAlone ? [] : after.map((entry) => ({ ...entry, enteredMs })));
  const changedMs = firstDifferenceMs(before, after);
  if (changedMs === null) return false;
  const first = Math.max(0, Math.floor(changedMs / MS_PER_HOUR));
  store.settled.forget(placeId, { first, last: LAST_HOUR });
  const place = world.places.get(placeId);
  if (place) world.putPlace(place);
  return true;
}
