import { MS_PER_HOUR, type Segments, type Window } from '../../../shared/exposure/series.ts';
import { firstEndingAfter } from '../../../shared/exposure/sums.ts';
import { doseOver, type HarmPiece, warmPart } from '../../../shared/harm/dose.ts';
import { sideOf } from '../../../shared/harm/rate.ts';
import { HARM_KINDS, type HarmKind } from '../../../shared/harm/scale.ts';
import type { TargetSpan } from '../calendar/spans.ts';
import { type HarmCurves, harmPiece, READ_FROM } from './harm-in.ts';

/** A stretch beyond a limit, between exact crossings; a gap ends it. */
export type Excursion = {
  readonly kind: HarmKind;
  readonly fromMs: number;
  readonly toMs: number;
  /** it lasts to the end of what is covered */
  readonly goesOn: boolean;
  /** the value furthest beyond its limit, and how far that was; °C or kPa */
  readonly peak: number;
  readonly furthest: number;
  /** area beyond the limit, K·h or kPa·h */
  readonly dose: number;
  readonly harm: number;
};

type Open = { fromMs: number; toMs: number; peak: number; furthest: number; area: number };

/**
 * What was beyond its limit over a window, by kind and in the order of time. Air far too cold is not counted as below
 * its band too.
 * @param spans targets resolved to instants, holding the window
 * @param window the span asked about, ms since epoch
 */
export function excursionsIn(
  curves: HarmCurves,
  { spans, window }: { readonly spans: readonly TargetSpan[]; readonly window: Window },
): Excursion[] {
  return HARM_KINDS.flatMap((kind) => {
    const segments = curves[READ_FROM[kind]];
    const pieces = spans.map((span) => harmPiece(kind, span));
    const coveredToMs = Math.min(segments.endMs[segments.count - 1] ?? window.fromMs, window.toMs);
    return beyond(kind, { segments, pieces, window }).map(({ area, ...found }) => ({
      kind,
      ...found,
      goesOn: found.toMs >= coveredToMs,
      dose: area / MS_PER_HOUR,
      harm: doseOver(segments, pieces, found),
    }));
  }).sort((a, b) => a.fromMs - b.fromMs);
}

type Course = { readonly segments: Segments; readonly pieces: readonly HarmPiece[]; readonly window: Window };

function beyond(kind: HarmKind, { segments, pieces, window }: Course): Open[] {
  const found: Open[] = [];
  for (const line of linesOf(kind, { segments, pieces, window })) {
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

function* linesOf(kind: HarmKind, { segments, pieces, window }: Course): Generator<Line> {
  const { startMs, endMs, startValue, endValue, count } = segments;
  let at = 0;
  for (let i = firstEndingAfter(segments, window.fromMs); i < count; i++) {
    const [t0, t1] = [startMs[i] as number, endMs[i] as number];
    if (t0 >= window.toMs) return;
    const slope = ((endValue[i] as number) - (startValue[i] as number)) / (t1 - t0);
    const valueAt = (tMs: number) => (startValue[i] as number) + slope * (tMs - t0);
    while (at < pieces.length - 1 && (pieces[at] as HarmPiece).toMs <= Math.max(t0, window.fromMs)) at++;
    for (let k = at; k < pieces.length; k++) {
      const piece = pieces[k] as HarmPiece;
      if (piece.fromMs >= t1) break;
      if (!piece.limit) continue;
      const { limit, farTooColdC } = piece.limit;
      const line = {
        fromMs: Math.max(t0, window.fromMs, piece.fromMs),
        toMs: Math.min(t1, window.toMs, piece.toMs),
      };
      // colder than that, another limit takes its place
      const { fromMs, toMs } = farTooColdC === undefined ? line : warmPart(line, valueAt, farTooColdC);
      if (fromMs >= toMs) continue;
      const drift = ((piece.limitAtEnd ?? limit) - limit) / (piece.toMs - piece.fromMs);
      const beyondAt = (tMs: number) => sideOf(kind) * (valueAt(tMs) - limit - drift * (tMs - piece.fromMs));
      const ends = { fromX: beyondAt(fromMs), toX: beyondAt(toMs) };
      yield { fromMs, toMs, ...ends, fromValue: valueAt(fromMs), toValue: valueAt(toMs) };
    }
  }
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
