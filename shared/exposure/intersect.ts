import type { Window } from './series.ts';
import type { ThresholdSpan } from './threshold.ts';

/** The windows in which the condition of the spans holds. */
export function whereAbove(spans: readonly ThresholdSpan[]): Window[] {
  return joined(spans.filter((span) => span.above));
}

/** The windows in which it does not, though it is known. */
export function whereBelow(spans: readonly ThresholdSpan[]): Window[] {
  return joined(spans.filter((span) => !span.above));
}

/**
 * The parts of ascending windows that lie in every one of the lists.
 * @example allOf([warm, damp]) // warm and damp at once
 */
export function allOf(lists: readonly (readonly Window[])[]): Window[] {
  const [first = [], ...rest] = lists;
  return joined(rest.reduce<readonly Window[]>(overlap, first));
}

/** The time that lies in at least one of the lists, as ascending windows that do not overlap. */
export function anyOf(lists: readonly (readonly Window[])[]): Window[] {
  return joined(lists.flat().sort((a, b) => a.fromMs - b.fromMs));
}

/** Together how long, and the longest of them, ms. */
export function lengthsOf(windows: readonly Window[]): { totalMs: number; longestMs: number } {
  let [totalMs, longestMs] = [0, 0];
  for (const { fromMs, toMs } of windows) {
    totalMs += toMs - fromMs;
    longestMs = Math.max(longestMs, toMs - fromMs);
  }
  return { totalMs, longestMs };
}

function overlap(left: readonly Window[], right: readonly Window[]): Window[] {
  const common: Window[] = [];
  let [i, j] = [0, 0];
  while (i < left.length && j < right.length) {
    const [a, b] = [left[i] as Window, right[j] as Window];
    const fromMs = Math.max(a.fromMs, b.fromMs);
    const toMs = Math.min(a.toMs, b.toMs);
    if (fromMs < toMs) common.push({ fromMs, toMs });
    if (a.toMs < b.toMs) i++;
    else j++;
  }
  return common;
}

function joined(windows: readonly Window[]): Window[] {
  const out: Window[] = [];
  for (const { fromMs, toMs } of windows) {
    const last = out.at(-1);
    if (last && fromMs <= last.toMs)
      out[out.length - 1] = { fromMs: last.fromMs, toMs: Math.max(last.toMs, toMs) };
    else out.push({ fromMs, toMs });
  }
  return out;
}
