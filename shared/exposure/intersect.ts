import type { Window } from './series.ts';
import type { ThresholdSpan } from './threshold.ts';

/** Time in which all of several things were known, and in which all of them held. */
export type Together = { readonly coveredMs: number; readonly heldMs: number; readonly longestMs: number };

/**
 * How long several quantities were on the right side of their thresholds at the same time.
 * @param conditions for each, its spans (ascending, `above` true where it holds)
 * @returns ms in which all were covered, in which all held, and the longest unbroken stretch of that
 * @example heldTogether([warmSpans, dampSpans]).heldMs
 */
export function heldTogether(conditions: readonly (readonly ThresholdSpan[])[]): Together {
  const covered = conditions.map((spans) => joined(spans));
  const held = conditions.map((spans) => joined(spans.filter((span) => span.above)));
  const stretches = allOf(held);
  return {
    coveredMs: total(allOf(covered)),
    heldMs: total(stretches),
    longestMs: stretches.reduce((longest, { fromMs, toMs }) => Math.max(longest, toMs - fromMs), 0),
  };
}

/** The same spans with the other side held. */
export function inverted(spans: readonly ThresholdSpan[]): ThresholdSpan[] {
  return spans.map((span) => ({ ...span, above: !span.above }));
}

/** The parts of ascending windows that lie in every one of the lists. */
export function allOf(lists: readonly (readonly Window[])[]): Window[] {
  const [first = [], ...rest] = lists;
  return joined(rest.reduce<readonly Window[]>(overlap, first));
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
    if (last && last.toMs === fromMs) out[out.length - 1] = { fromMs: last.fromMs, toMs };
    else out.push({ fromMs, toMs });
  }
  return out;
}

function total(windows: readonly Window[]): number {
  return windows.reduce((sum, { fromMs, toMs }) => sum + (toMs - fromMs), 0);
}
