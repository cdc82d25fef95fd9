import type { Segments } from '../../../shared/exposure/series.ts';
import { firstEndingAfter } from '../../../shared/exposure/sums.ts';

/** The newest value stands for so long, ms. */
const HELD_MS = 5 * 60_000;

/**
 * A quantity at any moment: on the straight lines between readings, and as it was for five minutes after the newest.
 * @returns at a time, ms since epoch: the value in the unit of the segments, null where nothing is covered
 * @example valueIn({ count: 0, startMs: new Float64Array(), endMs: new Float64Array(), startValue: new Float64Array(), endValue: new Float64Array() })(0) // null
 */
export function valueIn(segments: Segments): (tMs: number) => number | null {
  const { count, startMs, endMs, startValue, endValue } = segments;
  return (tMs) => {
    const index = firstEndingAfter(segments, tMs);
    if (index >= count) {
      const lastMs = endMs[count - 1];
      return lastMs !== undefined && tMs - lastMs < HELD_MS ? (endValue[count - 1] as number) : null;
    }
    const [fromMs, toMs] = [startMs[index] as number, endMs[index] as number];
    if (tMs < fromMs) return null;
    const [from, to] = [startValue[index] as number, endValue[index] as number];
    return toMs === fromMs ? from : from + ((to - from) * (tMs - fromMs)) / (toMs - fromMs);
  };
}
