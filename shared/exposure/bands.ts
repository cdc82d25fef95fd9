import type { Window } from './series.ts';

/** The band in force for a span of time; a null limit does not count. Day, night and changes are resolved. */
export type BandPiece = Window & { readonly low: number | null; readonly high: number | null };

/** The single limit in force for a span of time; null where there is none. */
export type LimitPiece = Window & { readonly limit: number | null };

/** Bands as the sums take them: no null, one array a column. */
export type Bands = {
  readonly endMs: Float64Array;
  readonly low: Float64Array;
  readonly high: Float64Array;
};

/** A band that leaves nothing outside, for plain integrals. */
export const WIDE_OPEN: Bands = {
  endMs: Float64Array.of(Number.POSITIVE_INFINITY),
  low: Float64Array.of(Number.NEGATIVE_INFINITY),
  high: Float64Array.of(Number.POSITIVE_INFINITY),
};

/**
 * The bands of a timeline, ready for summing over a window.
 * @param pieces contiguous spans in ascending order that together hold the window
 * @param window the span asked about, ms since epoch
 * @returns the same bands, a missing limit out of reach
 * @throws RangeError when a piece is empty, leaves a hole, overlaps, has low above high, or a limit is NaN, and
 *   when the pieces do not hold the whole window
 * @example bandsOf([{ fromMs: 0, toMs: 7_200_000, low: 21.1, high: 26.7 }], { fromMs: 0, toMs: 7_200_000 })
 */
export function bandsOf(pieces: readonly BandPiece[], window: Window): Bands {
  checkTimeline(pieces, window);
  const low = Float64Array.from(pieces, (piece) => piece.low ?? Number.NEGATIVE_INFINITY);
  const high = Float64Array.from(pieces, (piece) => piece.high ?? Number.POSITIVE_INFINITY);
  low.forEach((limit, i) => {
    if (!(limit <= (high[i] as number))) {
      throw new RangeError(`band ${i} runs from ${limit} to ${high[i]}; expected low at most high`);
    }
  });
  return { endMs: Float64Array.from(pieces, (piece) => piece.toMs), low, high };
}

/**
 * Refuses a timeline that does not say what holds at every moment of a window.
 * @param pieces spans of time, ms since epoch
 * @param window the span asked about, ms since epoch
 * @throws RangeError when a piece is empty, leaves a hole or overlaps, and when the window is not held
 * @example checkTimeline([{ fromMs: 0, toMs: 10 }], { fromMs: 2, toMs: 8 })
 */
export function checkTimeline(pieces: readonly Window[], window: Window): void {
  pieces.forEach((piece, i) => {
    const follows = pieces[i - 1]?.toMs ?? piece.fromMs;
    if (!(piece.fromMs < piece.toMs) || piece.fromMs !== follows) {
      throw new RangeError(
        `piece ${i} runs from ${piece.fromMs} to ${piece.toMs}; expected from ${follows} on`,
      );
    }
  });
  const fromMs = pieces[0]?.fromMs ?? Number.NaN;
  const toMs = pieces.at(-1)?.toMs ?? Number.NaN;
  if (!(fromMs <= window.fromMs && window.toMs <= toMs)) {
    throw new RangeError(`limits run from ${fromMs} to ${toMs}; expected ${window.fromMs} to ${window.toMs}`);
  }
}
