import { MS_PER_HOUR, type Segments, type Window } from '../exposure/series.ts';
import { firstEndingAfter } from '../exposure/sums.ts';
import { type HarmLimit, type HarmRate, harmRate, sideOf } from './rate.ts';

/** The limit in force for a span of time, which may move in a straight line; null where there is none. */
export type HarmPiece = Window & { readonly limit: HarmLimit | null; readonly limitAtEnd?: number };

/**
 * The harm of one kind over a window: ∫ rate dt, in closed form along the straight lines of the record.
 * @param segments covered straight pieces, °C or kPa
 * @param pieces the limit in force, contiguous, ascending
 * @param window the span asked about, ms since epoch
 * @returns harm, 0 or more; 1 = a batch is expected to be damaged, or to have lost a day
 * @example doseOver(fourHoursAt31, [{ ...window, limit: { kind: 'air-over-ceiling', limit: 26.7 } }], window) // 2.20
 */
export function doseOver(segments: Segments, pieces: readonly HarmPiece[], window: Window): number {
  let dose = 0;
  for (const piece of pieces) {
    const span = { fromMs: Math.max(piece.fromMs, window.fromMs), toMs: Math.min(piece.toMs, window.toMs) };
    if (piece.limit && span.fromMs < span.toMs) dose += doseIn(segments, piece, piece.limit, span);
  }
  return dose;
}

function doseIn(segments: Segments, piece: HarmPiece, limit: HarmLimit, span: Window): number {
  const { farTooColdC, ...open } = limit;
  const rate = harmRate(open);
  const side = sideOf(limit.kind);
  const { startMs, endMs, startValue, endValue, count } = segments;
  const drift = ((piece.limitAtEnd ?? limit.limit) - limit.limit) / (piece.toMs - piece.fromMs);
  let dose = 0;
  for (let i = firstEndingAfter(segments, span.fromMs); i < count; i++) {
    const t0 = startMs[i] as number;
    if (t0 >= span.toMs) break;
    const slope = ((endValue[i] as number) - (startValue[i] as number)) / ((endMs[i] as number) - t0);
    const valueAt = (tMs: number) =>
      tMs === endMs[i] ? (endValue[i] as number) : (startValue[i] as number) + slope * (tMs - t0);
    const beyondAt = (tMs: number) => side * (valueAt(tMs) - (limit.limit + drift * (tMs - piece.fromMs)));
    const line = { fromMs: Math.max(t0, span.fromMs), toMs: Math.min(endMs[i] as number, span.toMs) };
    const { fromMs, toMs } = farTooColdC === undefined ? line : warmPart(line, valueAt, farTooColdC);
    if (fromMs < toMs) dose += along(rate, [beyondAt(fromMs), beyondAt(toMs)], (toMs - fromMs) / MS_PER_HOUR);
  }
  return dose;
}

/**
 * The part of a straight line that is no colder than a value, however the limit beside it moves; empty where all of it is.
 * @param line ms since epoch
 * @param valueAt the line at a time, °C
 */
export function warmPart(line: Window, valueAt: (tMs: number) => number, coldC: number): Window {
  const { fromMs, toMs } = line;
  const [from, to] = [valueAt(fromMs) - coldC, valueAt(toMs) - coldC];
  if (from >= 0 && to >= 0) return line;
  if (from < 0 && to < 0) return { fromMs, toMs: fromMs };
  const crossMs = fromMs + ((toMs - fromMs) * from) / (from - to);
  return from < 0 ? { fromMs: crossMs, toMs } : { fromMs, toMs: crossMs };
}

/** Along one straight line: cut where the formula changes, each part in closed form. */
function along(rate: HarmRate, ends: readonly [number, number], hours: number): number {
  const [least, most] = [Math.min(...ends), Math.max(...ends)];
  const [first = 0] = rate.bends;
  if (most <= first) return 0;
  if (least === most) return hours * rate.mean(least, most);
  let dose = 0;
  let from = Math.max(least, first);
  for (const bend of [...rate.bends, Number.POSITIVE_INFINITY]) {
    const to = Math.min(bend, most);
    if (to <= from) continue;
    dose += ((to - from) / (most - least)) * hours * rate.mean(from, to);
    from = to;
  }
  return dose;
}
