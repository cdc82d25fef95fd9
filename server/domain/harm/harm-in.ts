import type { Segments, Window } from '../../../shared/exposure/series.ts';
import { doseOver, type HarmPiece } from '../../../shared/harm/dose.ts';
import { HARM_KINDS, type Harm, type HarmKind } from '../../../shared/harm/scale.ts';
import { harmLimitAt } from '../../../shared/rules/harm.ts';
import { dayShareAt } from '../calendar/ramp.ts';
import type { TargetSpan } from '../calendar/spans.ts';

/** The courses harm is read from. */
export type HarmCurves = Readonly<Record<'air' | 'rootZone' | 'vpd', Segments>>;

/** What each kind of harm is read from. */
export const READ_FROM = {
  'air-over-ceiling': 'air',
  'root-zone-over-ceiling': 'rootZone',
  'air-far-too-cold': 'air',
  'vpd-above-band': 'vpd',
  'root-zone-below-band': 'rootZone',
  'air-below-band': 'air',
} as const satisfies Record<HarmKind, keyof HarmCurves>;

/** The limit of a kind over a stretch in which bands stand, or move in one straight line. */
export function harmPiece(kind: HarmKind, span: TargetSpan): HarmPiece {
  const { fromMs, toMs } = span;
  const at = (tMs: number) => harmLimitAt(kind, { ...span, dayShare: dayShareAt(span, tMs) });
  const limit = at(fromMs);
  const end = at(toMs);
  return { fromMs, toMs, limit, ...(end ? { limitAtEnd: end.limit } : {}) };
}

/** Harm of each kind over a part of the record, by the targets that held then; dimensionless. */
export function harmIn(
  curves: HarmCurves,
  { piece, spans }: { readonly piece: Window; readonly spans: readonly TargetSpan[] },
): Harm {
  const of = (kind: HarmKind) =>
    doseOver(
      curves[READ_FROM[kind]],
      spans.map((span) => harmPiece(kind, span)),
      piece,
    );
  return Object.fromEntries(HARM_KINDS.map((kind) => [kind, of(kind)])) as Record<HarmKind, number>;
}
