import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import { doseOver, type HarmPiece } from '../../../shared/harm/dose.ts';
import { sideOf } from '../../../shared/harm/rate.ts';
import { HARM_KINDS, type HarmKind } from '../../../shared/harm/scale.ts';
import type { TargetSpan } from '../calendar/spans.ts';
import { type LimitLine, stretchesBeyond } from '../excursions/stretches.ts';
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
    return stretchesBeyond(segments, pieces.flatMap(limitLine), window).map(({ area, ...found }) => ({
      kind,
      ...found,
      goesOn: found.toMs >= coveredToMs,
      dose: area / MS_PER_HOUR,
      harm: doseOver(segments, pieces, found),
    }));
  }).sort((a, b) => a.fromMs - b.fromMs);
}

function limitLine({ fromMs, toMs, limit, limitAtEnd }: HarmPiece): LimitLine[] {
  if (!limit) return [];
  const { kind, farTooColdC } = limit;
  return [
    {
      fromMs,
      toMs,
      limit: limit.limit,
      side: sideOf(kind),
      ...(limitAtEnd === undefined ? {} : { limitAtEnd }),
      ...(farTooColdC === undefined ? {} : { yieldsAt: farTooColdC }),
    },
  ];
}
