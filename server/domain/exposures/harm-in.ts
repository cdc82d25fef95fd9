import type { Segments, Window } from '../../../shared/exposure/series.ts';
import { doseOver, type HarmPiece } from '../../../shared/harm/dose.ts';
import { HARM_KINDS, type Harm, type HarmKind } from '../../../shared/harm/scale.ts';
import { harmLimitAt } from '../../../shared/rules/harm.ts';
import type { TargetSpan } from '../calendar/spans.ts';

/** What each kind of harm is read from. */
const READ_FROM = {
  'air-over-ceiling': 'air',
  'root-zone-over-ceiling': 'rootZone',
  'air-far-too-cold': 'air',
  'vpd-above-band': 'vpd',
  'root-zone-below-band': 'rootZone',
  'air-below-band': 'air',
} as const satisfies Record<HarmKind, 'air' | 'rootZone' | 'vpd'>;

/** Harm of each kind over a part of the record, by the targets that held then; dimensionless. */
export function harmIn(
  curves: Readonly<Record<'air' | 'rootZone' | 'vpd', Segments>>,
  { piece, spans }: { readonly piece: Window; readonly spans: readonly TargetSpan[] },
): Harm {
  const of = (kind: HarmKind) => {
    const pieces = spans.map(
      ({ fromMs, toMs, targets, night }): HarmPiece => ({
        fromMs,
        toMs,
        limit: harmLimitAt(kind, { targets, night }),
      }),
    );
    return doseOver(curves[READ_FROM[kind]], pieces, piece);
  };
  return Object.fromEntries(HARM_KINDS.map((kind) => [kind, of(kind)])) as Record<HarmKind, number>;
}
