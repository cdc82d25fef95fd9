import type { Window } from '../../../shared/exposure/series.ts';
import type { ChartPoint } from '../../../shared/exposure/series-points.ts';
import type { Minutes } from '../seal/minutes.ts';

/**
 * Gives points that were drawn from the means of minutes the true extremes of those minutes, so that a spike of one
 * reading is still there when the readings are not.
 * @param drawn points of one probe over the window, as chartPoints draws them from the minutes' means
 * @param minutes of the same probe, ascending
 * @param options window in ms since epoch; points as asked for, null for every stored moment
 * @returns the points with extremes that hold those of their minutes
 * @example withMinutes(drawn, minutes, { fromMs, toMs, points: 1000 })
 */
export function withMinutes(
  drawn: readonly ChartPoint[],
  { timesMs, mins, maxs }: Minutes,
  { fromMs, toMs, points }: Window & { readonly points: number | null },
): ChartPoint[] {
  const keyOf = (tMs: number) =>
    points === null ? tMs : Math.min(points - 1, Math.floor(((tMs - fromMs) * points) / (toMs - fromMs)));
  const extremes = new Map<number, { min: number; max: number }>();
  timesMs.forEach((tMs, i) => {
    if (tMs < fromMs || tMs > toMs) return;
    const known = extremes.get(keyOf(tMs));
    const [min, max] = [mins[i] as number, maxs[i] as number];
    extremes.set(
      keyOf(tMs),
      known ? { min: Math.min(known.min, min), max: Math.max(known.max, max) } : { min, max },
    );
  });
  return drawn.map((point) => {
    const found = point.value === null ? undefined : extremes.get(keyOf(point.tMs));
    if (!found) return point;
    return {
      ...point,
      min: Math.min(point.min ?? found.min, found.min),
      max: Math.max(point.max ?? found.max, found.max),
    };
  });
}
