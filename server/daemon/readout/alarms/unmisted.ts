import type { Knots } from '../../../../shared/exposure/series.ts';
import { minutesWithoutMist } from '../../../../shared/harm/minutes-without-mist.ts';
import type { Place } from '../../../../shared/model/place.ts';
import type { UnmistedFacts } from '../../../../shared/rules/facts.ts';
import { batchesStanding } from '../../../domain/batches/standing.ts';
import { curveOf, type RecordsByQuantity } from '../../../domain/exposures/curves.ts';
import type { Store } from '../../../ports.ts';

const DAY_MS = 86_400_000;

/**
 * Of the batches that stand at a place at a time, the one that stands the shortest without mist: by its age, and by the
 * newest air and light read up to then, the same live and in hindsight.
 * @returns to be asked at times that only grow, ms since epoch; null without a batch of 0 to 6 days, and while the air
 *   is not known
 */
export function unmistedAt(
  { place, records }: { readonly place: Place; readonly records: RecordsByQuantity },
  { store }: { readonly store: Store },
): (tMs: number) => UnmistedFacts | null {
  const batches = store.batches.atPlace(place.id);
  if (batches.length === 0) return () => null;
  const { settings } = place;
  const newest = (name: Parameters<typeof curveOf>[0]) =>
    newestOf(curveOf(name, { records, settings }).knots, settings.maxGapMs);
  const [ofLeaf, ofAir, ofLight] = [newest('leafVpdKpa'), newest('airVpdKpa'), newest('ppfdUmolM2S')];
  return (tMs) => {
    const standing = batchesStanding(batches, { placeId: place.id, nowMs: tMs });
    const [leafKpa, airKpa, light] = [ofLeaf(tMs), ofAir(tMs), ofLight(tMs)];
    const vpdKpa = leafKpa ?? airKpa;
    if (vpdKpa === null) return null;
    let shortest: UnmistedFacts | null = null;
    for (const { stuckAtMs, crop, isPoinsettia } of standing) {
      const ageDays = (tMs - stuckAtMs) / DAY_MS;
      const air = { vpdKpa: Math.max(vpdKpa, 0), ppfdUmolM2S: light === null ? null : Math.max(light, 0) };
      const estimate = ageDays < 0 ? null : minutesWithoutMist({ ageDays, ...air, isPoinsettia });
      if (estimate === null || (shortest !== null && shortest.low <= estimate.low)) continue;
      shortest = { crop, ageDays, minutes: estimate.minutes, low: estimate.low };
    }
    return shortest;
  };
}

/** The newest value up to a time, no older than a gap may last; asked at times that only grow. */
function newestOf({ timesMs, values, count }: Knots, maxGapMs: number): (tMs: number) => number | null {
  let next = 0;
  return (tMs) => {
    while (next < count && (timesMs[next] as number) <= tMs) next += 1;
    if (next === 0 || tMs - (timesMs[next - 1] as number) > maxGapMs) return null;
    return values[next - 1] as number;
  };
}
