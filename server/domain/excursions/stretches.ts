import type { Segments, Window } from '../../../shared/exposure/series.ts';
import { firstEndingAfter } from '../../../shared/exposure/sums.ts';
import { warmPart } from '../../../shared/harm/dose.ts';

/** A limit in force for a span of time. */
export type LimitLine = Window & {
  readonly limit: number;
  /** where it has come by the end, moving in a straight line; absent where it stands */
  readonly limitAtEnd?: number;
  /** which side of it is beyond: 1 above, −1 below */
  readonly side: 1 | -1;
  /** a value further beyond, from which on another limit takes its place; by the end it may have moved */
  readonly yieldsAt?: number;
  readonly yieldsAtEnd?: number;
};

/** A stretch beyond a limit, between exact crossings; a gap ends it. */
type Stretch = Window & {
  /** the value furthest beyond the limit, and how far that was */
  readonly peak: number;
  readonly furthest: number;
  /** area between course and limit, unit·ms */
  readonly area: number;
};

type Open = { fromMs: number; toMs: number; peak: number; furthest: number; area: number };

/**
 * The stretches of a window in which a course was beyond its limit.
 * @param segments covered straight pieces
 * @param limits ascending, none overlapping another; where there is none nothing is beyond
 * @param window the span asked about, ms since epoch
 * @returns in order of time
 * @example stretchesBeyond(airSegments, [{ ...window, limit: 26.7, side: 1 }], window)
 */
export function stretchesBeyond(segments: Segments, limits: readonly LimitLine[], window: Window): Stretch[] {
  const found: Open[] = [];
  for (const line of linesOf(segments, limits, window)) {
    const part = partBeyond(line);
    if (part === null) continue;
    const last = found.at(-1);
    if (last && part.fromMs - last.toMs < 1) {
      if (part.furthest > last.furthest) last.peak = part.peak;
      last.furthest = Math.max(last.furthest, part.furthest);
      last.toMs = part.toMs;
      last.area += part.area;
    } else found.push(part);
  }
  return found.filter(({ fromMs, toMs }) => toMs > fromMs);
}

/** One straight line with its distance beyond the limit at both ends. */
type Line = Window & {
  readonly fromX: number;
  readonly toX: number;
  readonly fromValue: number;
  readonly toValue: number;
};

function* linesOf(segments: Segments, limits: readonly LimitLine[], window: Window): Generator<Line> {
  const { startMs, endMs, startValue, endValue, count } = segments;
  let at = 0;
  for (let i = firstEndingAfter(segments, window.fromMs); i < count; i++) {
    const [t0, t1] = [startMs[i] as number, endMs[i] as number];
    if (t0 >= window.toMs) return;
    const ends: Ends = [startValue[i] as number, endValue[i] as number];
    const slope = (ends[1] - ends[0]) / (t1 - t0);
    const valueAt = (tMs: number) => ends[0] + slope * (tMs - t0);
    while (at < limits.length - 1 && (limits[at] as LimitLine).toMs <= Math.max(t0, window.fromMs)) at++;
    for (let k = at; k < limits.length; k++) {
      const piece = limits[k] as LimitLine;
      if (piece.fromMs >= t1) break;
      if (isWellWithin(ends, piece)) continue;
      const held = {
        fromMs: Math.max(t0, window.fromMs, piece.fromMs),
        toMs: Math.min(t1, window.toMs, piece.toMs),
      };
      const line = held.fromMs < held.toMs ? lineBeside(held, { piece, valueAt }) : null;
      if (line) yield line;
    }
  }
}

type Ends = readonly [number, number];

/** Far more than a rounding along a line, °C, kPa or %RH. */
const CLEARANCE = 1e-6;

/** Whether no part of a line can be beyond a limit: most of a record is so, and is left at a glance. */
function isWellWithin([a, b]: Ends, { side, limit, limitAtEnd = limit }: LimitLine): boolean {
  return Math.max(side * a, side * b) < Math.min(side * limit, side * limitAtEnd) - CLEARANCE;
}

type Beside = { readonly piece: LimitLine; readonly valueAt: (tMs: number) => number };

/** A part of the course beside its limit; null where another limit has taken its place all along. */
function lineBeside(held: Window, { piece, valueAt }: Beside): Line | null {
  const { side, limit, limitAtEnd = limit, yieldsAt, yieldsAtEnd = yieldsAt } = piece;
  const along = (from: number, to: number) => (tMs: number) =>
    from + ((to - from) * (tMs - piece.fromMs)) / (piece.toMs - piece.fromMs);
  const other = yieldsAt === undefined ? null : along(yieldsAt, yieldsAtEnd ?? yieldsAt);
  const { fromMs, toMs } =
    other === null ? held : warmPart(held, (tMs) => side * (other(tMs) - valueAt(tMs)), 0);
  if (fromMs >= toMs) return null;
  const limitAt = along(limit, limitAtEnd);
  const beyondAt = (tMs: number) => side * (valueAt(tMs) - limitAt(tMs));
  const values = { fromValue: valueAt(fromMs), toValue: valueAt(toMs) };
  return { fromMs, toMs, fromX: beyondAt(fromMs), toX: beyondAt(toMs), ...values };
}

/** The part of a line that lies beyond its limit; null where none does. */
function partBeyond({ fromMs, toMs, fromX, toX, fromValue, toValue }: Line): Open | null {
  if (fromX <= 0 && toX <= 0) return null;
  const crossing = fromX === toX ? 0 : -fromX / (toX - fromX);
  const start = fromX < 0 ? crossing : 0;
  const end = toX < 0 ? crossing : 1;
  if (!(start < end)) return null;
  const [a, b] = [fromX + (toX - fromX) * start, fromX + (toX - fromX) * end];
  const ms = toMs - fromMs;
  const valueAt = (share: number) => fromValue + (toValue - fromValue) * share;
  return {
    fromMs: fromMs + ms * start,
    toMs: fromMs + ms * end,
    furthest: Math.max(a, b),
    peak: valueAt(a > b ? start : end),
    area: (ms * (end - start) * (a + b)) / 2,
  };
}
