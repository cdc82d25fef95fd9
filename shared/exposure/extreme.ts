import type { Segments, Window } from './series.ts';
import { firstEndingAfter } from './sums.ts';

/** The furthest value of a curve, in its unit, and when it was reached first, ms since epoch. */
export type Extreme = { readonly value: number; readonly atMs: number };

/**
 * The highest or lowest point of a curve within a window, and when it was reached first. A curve of straight pieces has it
 * at one of their ends, or where the window cuts a piece.
 * @param segments covered straight pieces
 * @param window the span asked about, ms since epoch
 * @param side which of the two
 * @returns value in the unit of the segments; null where nothing is covered
 * @example extremeOf(segments, { fromMs: 0, toMs: 3_600_000 }, 'highest')
 */
export function extremeOf(
  segments: Segments,
  { fromMs, toMs }: Window,
  side: 'highest' | 'lowest',
): Extreme | null {
  const { startMs, endMs, startValue, endValue, count } = segments;
  const sign = side === 'highest' ? 1 : -1;
  let found: Extreme | null = null;
  for (let i = firstEndingAfter(segments, fromMs); i < count; i++) {
    const [t0, t1] = [startMs[i] as number, endMs[i] as number];
    const [v0, v1] = [startValue[i] as number, endValue[i] as number];
    if (t0 >= toMs) break;
    const at = (tMs: number) =>
      tMs === t0 ? v0 : tMs === t1 ? v1 : v0 + ((v1 - v0) * (tMs - t0)) / (t1 - t0);
    for (const atMs of [Math.max(t0, fromMs), Math.min(t1, toMs)]) {
      const value = at(atMs);
      if (found === null || sign * (value - found.value) > 0) found = { value, atMs };
    }
  }
  return found;
}
