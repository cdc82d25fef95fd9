import type { ProbeRecord, Window } from '../../../shared/exposure/series.ts';

/** Equal spans of time laid over a window, ms since epoch; the first begins at a whole multiple of their length. */
export type Bins = { readonly startMs: number; readonly binMs: number; readonly count: number };

/**
 * The spans of equal length that cover a window.
 * @param window ms since epoch
 * @param binMs length of each, ms, > 0
 * @returns where they begin and how many there are
 * @example binsOf({ fromMs: 30, toMs: 250 }, 100) // { startMs: 0, binMs: 100, count: 3 }
 */
export function binsOf({ fromMs, toMs }: Window, binMs: number): Bins {
  const startMs = Math.floor(fromMs / binMs) * binMs;
  return { startMs, binMs, count: Math.max(0, Math.ceil((toMs - startMs) / binMs)) };
}

/**
 * The median of a probe's readings in each span.
 * @param record readings of one probe
 * @param bins spans
 * @returns a value a span in the unit of the record, null where nothing was read
 * @example binned(record, binsOf({ fromMs: 0, toMs: 3_600_000 }, 300_000)).length // 12
 */
export function binned({ timesMs, values }: ProbeRecord, bins: Bins): (number | null)[] {
  const medians: (number | null)[] = new Array(bins.count).fill(null);
  let first = 0;
  while (first < values.length) {
    const bin = Math.floor(((timesMs[first] as number) - bins.startMs) / bins.binMs);
    let end = first + 1;
    while (end < values.length && Math.floor(((timesMs[end] as number) - bins.startMs) / bins.binMs) === bin)
      end++;
    if (bin >= 0 && bin < bins.count) medians[bin] = middleOf(values.slice(first, end));
    first = end;
  }
  return medians;
}

/** Sorting numbers as numbers is several times as fast as by a comparison of our own. */
function middleOf(some: Float64Array): number {
  some.sort();
  const upper = some[some.length >> 1] as number;
  return some.length % 2 === 1 ? upper : ((some[(some.length >> 1) - 1] as number) + upper) / 2;
}

/**
 * Differences, span by span.
 * @param a values by span
 * @param b values by span, of the same spans
 * @returns a minus b, null where either is missing
 * @example minus([3, null], [1, 1]) // [2, null]
 */
export function minus(a: readonly (number | null)[], b: readonly (number | null)[]): (number | null)[] {
  return a.map((value, i) => {
    const other = b[i] ?? null;
    return value === null || other === null ? null : value - other;
  });
}
