import type { Segments, Window } from './series.ts';
import { firstEndingAfter } from './sums.ts';

/** A covered stretch in which a quantity stays at or above a threshold, or below it. */
export type ThresholdSpan = Window & { readonly above: boolean };

/**
 * When a quantity was at or above a threshold, and when below it; uncovered time is in no span.
 * Crossings are found by interpolation and given to the whole ms.
 * @param segments covered straight pieces
 * @param threshold in the unit of the segments
 * @param window the span asked about, ms since epoch
 * @returns ascending, each as long as it can be
 * @example thresholdSpans(lightSegments, 20, { fromMs, toMs })
 */
export function thresholdSpans(segments: Segments, threshold: number, window: Window): ThresholdSpan[] {
  const spans: { fromMs: number; toMs: number; above: boolean }[] = [];
  const add = (fromMs: number, toMs: number, above: boolean) => {
    const start = Math.max(fromMs, window.fromMs);
    const end = Math.min(toMs, window.toMs);
    if (start >= end) return;
    const last = spans.at(-1);
    if (last && last.above === above && last.toMs === start) last.toMs = end;
    else spans.push({ fromMs: start, toMs: end, above });
  };
  for (let i = firstEndingAfter(segments, window.fromMs); i < segments.count; i++) {
    if ((segments.startMs[i] as number) >= window.toMs) break;
    const [startMs, endMs] = [segments.startMs[i] as number, segments.endMs[i] as number];
    const [from, to] = [segments.startValue[i] as number, segments.endValue[i] as number];
    if (from >= threshold === to >= threshold) {
      add(startMs, endMs, from >= threshold);
      continue;
    }
    const exactMs = startMs + ((threshold - from) / (to - from)) * (endMs - startMs);
    // where probes cross each other a piece may start or end within a ms
    const crossingMs = Math.min(Math.max(Math.round(exactMs), startMs), endMs);
    add(startMs, crossingMs, from >= threshold);
    add(crossingMs, endMs, to >= threshold);
  }
  return spans;
}
