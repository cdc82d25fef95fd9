import type { Place } from '../../../shared/model/place.ts';
import { COVERED } from '../../domain/alarms/limit-samples.ts';
import { openedSince, VENT_MEANT_MS } from '../../domain/vents/held-off.ts';
import type { Store } from '../../ports.ts';
import { recordsOf } from '../world/records.ts';
import type { World } from '../world/world.ts';

/** What is read from the record of a place holds for so long, ms. */
const HOLDS_MS = 30_000;
/** A fall is recognised by the air of the half hour before it. */
const BEFORE_MS = 30 * 60_000;

type Known = { readonly atMs: number; readonly sinceMs: number | null };
type CoverContext = { readonly world: World; readonly store: Store; readonly nowMs: number };

const known = new WeakMap<World, Map<string, Known>>();

/** Since when the cover of a place is open, as its air shows; null where it is not, or the place has none. */
export function coverOpenSince(place: Place, { world, store, nowMs }: CoverContext): number | null {
  if (!COVERED.includes(place.kind)) return null;
  const ofWorld = known.get(world) ?? new Map<string, Known>();
  known.set(world, ofWorld);
  const before = ofWorld.get(place.id);
  if (before && nowMs >= before.atMs && nowMs - before.atMs < HOLDS_MS) return before.sinceMs;
  const span = { fromMs: nowMs - VENT_MEANT_MS - BEFORE_MS, toMs: nowMs };
  const records = recordsOf(place, span, ['air/temperature', 'air/humidity'], { world, store });
  const air = { temperature: records['air/temperature'] ?? [], humidity: records['air/humidity'] ?? [] };
  const sinceMs = openedSince(air, { nowMs, maxGapMs: place.settings.maxGapMs });
  ofWorld.set(place.id, { atMs: nowMs, sinceMs });
  return sinceMs;
}
