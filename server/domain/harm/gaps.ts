import type { Segments, Window } from '../../../shared/exposure/series.ts';

/**
 * Stretches of a window in which nothing is covered, from the first that is on; what follows the last is not over yet.
 * @param window the span asked about, ms since epoch
 */
export function gapsIn({ startMs, endMs, count }: Segments, window: Window): Window[] {
  const gaps: Window[] = [];
  for (let i = 1; i < count; i++) {
    const gap = { fromMs: endMs[i - 1] as number, toMs: startMs[i] as number };
    if (gap.toMs - gap.fromMs >= 1 && gap.toMs > window.fromMs && gap.fromMs < window.toMs) gaps.push(gap);
  }
  return gaps;
}
