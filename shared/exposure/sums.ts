import { type Bands, edgesAt } from './bands.ts';
import type { Segments, Window } from './series.ts';

/** Plain sums over the covered part of a window. Areas are in the unit of the segments times ms. */
export type Sums = {
  readonly coveredMs: number;
  readonly belowMs: number;
  readonly withinMs: number;
  readonly aboveMs: number;
  readonly area: number;
  readonly areaBelow: number;
  readonly areaAbove: number;
  /** Infinity when nothing is covered. */
  readonly min: number;
  /** -Infinity when nothing is covered. */
  readonly max: number;
};

/**
 * Time and area of a curve below, within and above the bands in force, cut exactly at window and band ends, and at
 * crossings with edges that stand or move straight.
 * @param segments covered straight pieces
 * @param bands bands in ascending order that hold the whole window, in the unit of the segments
 * @param window the span summed over, ms since epoch
 * @returns sums in ms and unit·ms
 * @throws RangeError when the window ends before it starts
 * @example sumOver(segments, WIDE_OPEN, { fromMs: 0, toMs: 3_600_000 }).area
 */
export function sumOver(segments: Segments, bands: Bands, window: Window): Sums {
  checkWindow(window);
  const { startMs, endMs, startValue, endValue, count } = segments;
  let coveredMs = 0;
  let belowMs = 0;
  let withinMs = 0;
  let aboveMs = 0;
  let area = 0;
  let areaBelow = 0;
  let areaAbove = 0;
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  let band = 0;
  for (let i = firstEndingAfter(segments, window.fromMs); i < count; i++) {
    const t0 = startMs[i] as number;
    const t1 = endMs[i] as number;
    const v0 = startValue[i] as number;
    const v1 = endValue[i] as number;
    if (t0 >= window.toMs) break;
    const stopMs = Math.min(t1, window.toMs);
    let fromMs = Math.max(t0, window.fromMs);
    let from = fromMs === t0 ? v0 : v0 + (v1 - v0) * ((fromMs - t0) / (t1 - t0));
    while (fromMs < stopMs) {
      while ((bands.endMs[band] as number) <= fromMs) band++;
      const toMs = Math.min(bands.endMs[band] as number, stopMs);
      const to = toMs === t1 ? v1 : v0 + (v1 - v0) * ((toMs - t0) / (t1 - t0));
      const ms = toMs - fromMs;
      const least = Math.min(from, to);
      const most = Math.max(from, to);
      const low = bands.low[band] as number;
      const high = bands.high[band] as number;
      let pieceBelowMs = 0;
      let pieceAboveMs = 0;
      if (bands.courses?.[band]) {
        const [start, end] = [edgesAt(bands, band, fromMs), edgesAt(bands, band, toMs)];
        const [below, above] = [
          positive(start.low - from, end.low - to),
          positive(from - start.high, to - end.high),
        ];
        pieceBelowMs = ms * below.share;
        pieceAboveMs = ms * above.share;
        areaBelow += ms * below.mean;
        areaAbove += ms * above.mean;
      } else {
        pieceBelowMs = least >= low ? 0 : most <= low ? ms : (ms * (low - least)) / (most - least);
        pieceAboveMs = most <= high ? 0 : least >= high ? ms : (ms * (most - high)) / (most - least);
        if (pieceBelowMs > 0) areaBelow += (pieceBelowMs * (low - least + Math.max(low - most, 0))) / 2;
        if (pieceAboveMs > 0) areaAbove += (pieceAboveMs * (most - high + Math.max(least - high, 0))) / 2;
      }
      const pieceWithinMs = ms - pieceBelowMs - pieceAboveMs;
      coveredMs += ms;
      belowMs += pieceBelowMs;
      withinMs += Math.max(pieceWithinMs, 0);
      aboveMs += pieceAboveMs;
      area += (ms * (from + to)) / 2;
      min = Math.min(min, least);
      max = Math.max(max, most);
      fromMs = toMs;
      from = to;
    }
  }
  return { coveredMs, belowMs, withinMs, aboveMs, area, areaBelow, areaAbove, min, max };
}

/** Of a straight course from one value to another: the share of its time above zero, and the mean of what lies there. */
function positive(from: number, to: number): { readonly share: number; readonly mean: number } {
  if (from <= 0 && to <= 0) return { share: 0, mean: 0 };
  if (from >= 0 && to >= 0) return { share: 1, mean: (from + to) / 2 };
  const most = Math.max(from, to);
  const share = most / Math.abs(to - from);
  return { share, mean: (share * most) / 2 };
}

function checkWindow(window: Window): void {
  if (!(window.fromMs <= window.toMs)) {
    throw new RangeError(`window runs from ${window.fromMs} to ${window.toMs}; expected from at most to`);
  }
}

/** The first piece that reaches beyond a time, found by halving. */
export function firstEndingAfter(segments: Segments, timeMs: number): number {
  let low = 0;
  let high = segments.count;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((segments.endMs[middle] as number) <= timeMs) low = middle + 1;
    else high = middle;
  }
  return low;
}
