import { DEFAULT_MAX_GAP_MS } from '../../../shared/exposure/coverage.ts';
import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import type { ChartPoint } from '../../../shared/exposure/series-points.ts';
import type { BlockSummary } from '../seal/summary.ts';

export type SummedHour = BlockSummary & { readonly hour: number };

/** Fewer hours a point than this are drawn from the readings themselves. */
export const LEAST_HOURS_A_POINT = 2;

type Sum = { coveredMs: number; area: number; min: number; max: number };

/**
 * What a chart draws of one probe over a long span, from the summaries of its hours alone: mean weighted by time,
 * and true extremes, so that a spike of one reading never vanishes. Each point stands for whole hours, as many as
 * come nearest to the span divided by `points`; points without a reading are null, nulls in a row are given once.
 * @param hours ascending, with all hours that touch the window, and one more before and after it
 * @param options window in ms since epoch; points, at most one for every LEAST_HOURS_A_POINT hours
 * @returns ascending points, each in the middle of its hours
 * @example pointsFromHours(hours, { fromMs, toMs, points: 1000 })
 */
export function pointsFromHours(
  hours: readonly SummedHour[],
  { fromMs, toMs, points }: Window & { readonly points: number },
): ChartPoint[] {
  const firstHour = Math.floor(fromMs / MS_PER_HOUR);
  const lastHour = Math.ceil(toMs / MS_PER_HOUR);
  const edge = (k: number) => firstHour + Math.round(((lastHour - firstHour) * k) / points);
  const sums = Array.from({ length: points }, (): Sum => emptySum());
  const pointOf = (hour: number) => pointAt(hour, { firstHour, lastHour, points, edge });
  const within = (hour: number) => hour >= firstHour && hour < lastHour;
  hours.forEach((each, i) => {
    if (within(each.hour)) addHour(sums[pointOf(each.hour)] as Sum, each);
    const before = hours[i - 1];
    if (before) addJoint({ before, after: each }, (hour) => (within(hour) ? sums[pointOf(hour)] : undefined));
  });
  return drawn(sums, edge);
}

type Points = { firstHour: number; lastHour: number; points: number; edge: (k: number) => number };

/** The point whose hours hold the given one. */
function pointAt(hour: number, { firstHour, lastHour, points, edge }: Points): number {
  let k = Math.min(points - 1, Math.floor(((hour - firstHour) * points) / (lastHour - firstHour)));
  while (k > 0 && edge(k) > hour) k--;
  while (k < points - 1 && edge(k + 1) <= hour) k++;
  return k;
}

function addHour(sum: Sum, { coveredMs, area, min, max }: BlockSummary): void {
  sum.coveredMs += coveredMs;
  sum.area += area;
  sum.min = Math.min(sum.min, min);
  sum.max = Math.max(sum.max, max);
}

/** The straight piece from the last reading of one hour to the first of the next, shared out at the hours between. */
function addJoint(
  { before, after }: { before: SummedHour; after: SummedHour },
  sumOf: (hour: number) => Sum | undefined,
): void {
  const lengthMs = after.firstMs - before.lastMs;
  if (lengthMs > DEFAULT_MAX_GAP_MS) return;
  const valueAt = (tMs: number) =>
    before.lastValue + ((after.firstValue - before.lastValue) * (tMs - before.lastMs)) / lengthMs;
  const cutMs = after.hour * MS_PER_HOUR;
  for (const [startMs, endMs, hour] of [
    [before.lastMs, cutMs, before.hour],
    [cutMs, after.firstMs, after.hour],
  ] as const) {
    const sum = sumOf(hour);
    if (!sum || endMs <= startMs) continue;
    sum.coveredMs += endMs - startMs;
    sum.area += ((valueAt(startMs) + valueAt(endMs)) / 2) * (endMs - startMs);
  }
}

function drawn(sums: readonly Sum[], edge: (k: number) => number): ChartPoint[] {
  const out: ChartPoint[] = [];
  sums.forEach((sum, k) => {
    if (edge(k) === edge(k + 1)) return;
    const tMs = ((edge(k) + edge(k + 1)) / 2) * MS_PER_HOUR;
    const known = sum.min <= sum.max;
    if (known) out.push({ tMs, value: meanOf(sum), min: sum.min, max: sum.max });
    else if (out.at(-1)?.value !== null) out.push({ tMs, value: null, min: null, max: null });
  });
  return out;
}

function meanOf({ coveredMs, area, min, max }: Sum): number {
  if (coveredMs === 0) return (min + max) / 2;
  return Math.min(Math.max(area / coveredMs, min), max);
}

function emptySum(): Sum {
  return { coveredMs: 0, area: 0, min: Number.POSITIVE_INFINITY, max: Number.NEGATIVE_INFINITY };
}
