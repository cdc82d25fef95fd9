import type { Window } from './series.ts';

type Edges = { readonly low: number | null; readonly high: number | null };

/** A band that moves in a straight line, from its piece's own edges at `sinceMs` to `to` so many ms later. */
type BandCourse = { readonly sinceMs: number; readonly overMs: number; readonly to: Edges };

/** The band in force for a span of time; a null limit does not count. Day, night and changes are resolved. */
export type BandPiece = Window & Edges & { readonly course?: BandCourse | null };

/** The limit in force for a span of time, null where there is none; `toLimit`: it moves straight there by its end. */
export type LimitPiece = Window & { readonly limit: number | null; readonly toLimit?: number | null };

/** Bands as the sums take them: no null, one array a column. */
export type Bands = {
  readonly endMs: Float64Array;
  readonly low: Float64Array;
  readonly high: Float64Array;
  /** how a band moves, where one of them does: `low` and `high` are then its edges at `sinceMs` */
  readonly courses: readonly (Course | null)[] | null;
};

type Course = {
  readonly sinceMs: number;
  readonly overMs: number;
  readonly low: number;
  readonly high: number;
};

/** A band that leaves nothing outside, for plain integrals. */
export const WIDE_OPEN: Bands = {
  endMs: Float64Array.of(Number.POSITIVE_INFINITY),
  low: Float64Array.of(Number.NEGATIVE_INFINITY),
  high: Float64Array.of(Number.POSITIVE_INFINITY),
  courses: null,
};

/**
 * The bands of a timeline, ready for summing over a window.
 * @param pieces contiguous spans in ascending order that together hold the window
 * @param window the span asked about, ms since epoch
 * @returns the same bands, a missing limit out of reach
 * @throws RangeError when a piece is empty, leaves a hole, overlaps, has low above high, or a limit is NaN, and
 *   when the pieces do not hold the whole window; when a band moves beyond its course, or has an edge at one end only
 * @example bandsOf([{ fromMs: 0, toMs: 7_200_000, low: 21.1, high: 26.7 }], { fromMs: 0, toMs: 7_200_000 })
 */
export function bandsOf(pieces: readonly BandPiece[], window: Window): Bands {
  checkTimeline(pieces, window);
  const low = Float64Array.from(pieces, lowOf);
  const high = Float64Array.from(pieces, highOf);
  low.forEach((limit, i) => {
    checkEdges(i, limit, high[i] as number);
  });
  const courses = pieces.some(({ course }) => course) ? pieces.map(courseOf) : null;
  return { endMs: Float64Array.from(pieces, (piece) => piece.toMs), low, high, courses };
}

function lowOf({ low }: Edges): number {
  return low ?? Number.NEGATIVE_INFINITY;
}

function highOf({ high }: Edges): number {
  return high ?? Number.POSITIVE_INFINITY;
}

function checkEdges(i: number, low: number, high: number): void {
  if (!(low <= high))
    throw new RangeError(`band ${i} runs from ${low} to ${high}; expected low at most high`);
}

function courseOf({ course, low, high, ...piece }: BandPiece, i: number): Course | null {
  if (!course) return null;
  const { sinceMs, overMs, to } = course;
  checkEdges(i, lowOf(to), highOf(to));
  const comesAndGoes = (low === null) !== (to.low === null) || (high === null) !== (to.high === null);
  if (!(overMs > 0) || piece.fromMs < sinceMs || piece.toMs > sinceMs + overMs || comesAndGoes) {
    const moves = `${sinceMs} over ${overMs} ms`;
    throw new RangeError(
      `band ${i} moves from ${moves}; expected its piece within, and the same edges at both ends`,
    );
  }
  return { sinceMs, overMs, low: lowOf(to), high: highOf(to) };
}

/** Where the edges of a moving band lie at a time. */
export function edgesAt(bands: Bands, band: number, tMs: number): { low: number; high: number } {
  const [low, high] = [bands.low[band] as number, bands.high[band] as number];
  const course = bands.courses?.[band];
  if (!course) return { low, high };
  const passed = (tMs - course.sinceMs) / course.overMs;
  return { low: inBetween(low, course.low, passed), high: inBetween(high, course.high, passed) };
}

/** An edge out of reach stays there. */
function inBetween(from: number, to: number, passed: number): number {
  return from === to ? from : from + (to - from) * passed;
}

/**
 * Refuses a timeline that does not say what holds at every moment of a window.
 * @param pieces spans of time, ms since epoch
 * @param window the span asked about, ms since epoch
 * @throws RangeError when a piece is empty, leaves a hole or overlaps, and when the window is not held
 * @example checkTimeline([{ fromMs: 0, toMs: 10 }], { fromMs: 2, toMs: 8 })
 */
function checkTimeline(pieces: readonly Window[], window: Window): void {
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
