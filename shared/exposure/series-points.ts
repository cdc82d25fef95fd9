import { WIDE_OPEN } from './bands.ts';
import { meanOf } from './integrate.ts';
import type { Curve, Knots, Window } from './series.ts';
import { sumOver } from './sums.ts';

/** One moment of a chart; all three are null at a gap. */
export type ChartPoint = {
  readonly tMs: number;
  readonly value: number | null;
  readonly min: number | null;
  readonly max: number | null;
};

/**
 * What a chart draws of a curve inside a window.
 * Without `points`: every stored moment, and in the middle of each gap between two of them one null point.
 * With `points`: that many spans of equal length (to the ms), each a point in its middle with the mean
 * weighted by time and the true extremes of what is covered in it, so that a spike of one reading never
 * vanishes. A span with neither coverage nor a lone reading is null; nulls in a row are given once.
 * @param curve what is drawn
 * @param options.fromMs start of the window, ms since epoch, included
 * @param options.toMs end of the window, ms since epoch, included without `points`, excluded with them
 * @param options.points how many spans, a whole number ≥ 1; left out: every stored moment
 * @returns points in ascending order, values in the unit of the curve
 * @throws RangeError when points is not a whole number ≥ 1, or the window ends before it starts
 * @example chartPoints(curve, { fromMs: 0, toMs: 86_400_000, points: 400 })
 */
export function chartPoints(curve: Curve, options: Window & { points?: number | undefined }): ChartPoint[] {
  const { points, fromMs, toMs } = options;
  if (!(fromMs <= toMs))
    throw new RangeError(`window runs from ${fromMs} to ${toMs}; expected from at most to`);
  if (points === undefined) return storedPoints(curve.knots, options);
  if (!Number.isInteger(points) || points < 1) {
    throw new RangeError(`points is ${points}; expected a whole number of at least 1`);
  }
  const edgeMs = (k: number) => Math.round(fromMs + ((toMs - fromMs) * k) / points);
  const drawn: ChartPoint[] = [];
  for (let k = 0; k < points; k++) {
    const span = { fromMs: edgeMs(k), toMs: edgeMs(k + 1) };
    if (span.fromMs === span.toMs) continue;
    const point = spanPoint(curve, span);
    if (point.value !== null || drawn.at(-1)?.value !== null) drawn.push(point);
  }
  return drawn;
}

function storedPoints(knots: Knots, window: Window): ChartPoint[] {
  const drawn: ChartPoint[] = [];
  const first = firstAtOrAfter(knots, window.fromMs);
  for (let k = first; k < knots.count; k++) {
    const tMs = knots.timesMs[k] as number;
    if (tMs > window.toMs) break;
    if (k > first && knots.joined[k - 1] === 0) {
      drawn.push(gapAt(((knots.timesMs[k - 1] as number) + tMs) / 2));
    }
    const value = knots.values[k] as number;
    drawn.push({ tMs, value, min: value, max: value });
  }
  return drawn;
}

function spanPoint(curve: Curve, span: Window): ChartPoint {
  const tMs = Math.floor((span.fromMs + span.toMs) / 2);
  const sums = sumOver(curve.segments, WIDE_OPEN, span);
  const lone = loneReadings(curve.knots, span);
  if (sums.coveredMs === 0 && lone.count === 0) return gapAt(tMs);
  return {
    tMs,
    value: sums.coveredMs > 0 ? meanOf(sums) : lone.sum / lone.count,
    min: Math.min(sums.min, lone.min),
    max: Math.max(sums.max, lone.max),
  };
}

function loneReadings(knots: Knots, span: Window) {
  const lone = { count: 0, sum: 0, min: Number.POSITIVE_INFINITY, max: Number.NEGATIVE_INFINITY };
  for (let k = firstAtOrAfter(knots, span.fromMs); k < knots.count; k++) {
    if ((knots.timesMs[k] as number) >= span.toMs) break;
    if (knots.joined[k] === 1 || (k > 0 && knots.joined[k - 1] === 1)) continue;
    const value = knots.values[k] as number;
    lone.count++;
    lone.sum += value;
    lone.min = Math.min(lone.min, value);
    lone.max = Math.max(lone.max, value);
  }
  return lone;
}

function gapAt(tMs: number): ChartPoint {
  return { tMs, value: null, min: null, max: null };
}

function firstAtOrAfter(knots: Knots, timeMs: number): number {
  let low = 0;
  let high = knots.count;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((knots.timesMs[middle] as number) < timeMs) low = middle + 1;
    else high = middle;
  }
  return low;
}
