import type { Place } from '../../../shared/model/place.ts';
import type { BandSpan } from '../../../shared/wire/http.ts';
import { bandOf } from '../../domain/exposures/bands.ts';
import type { Span } from '../../ports.ts';
import { type RecordContext, spansOf } from '../world/records.ts';

/** The bands of a place over a span, between instants. */
export function bandSpansOf(place: Place, span: Span, context: RecordContext): BandSpan[] {
  return spansOf(place, span, context).map((piece) => {
    const at = (tMs: number) => ({
      rootZone: bandOf(piece, 'rootZone', tMs),
      air: bandOf(piece, 'air', tMs),
    });
    return {
      from: new Date(piece.fromMs).toISOString(),
      to: new Date(piece.toMs).toISOString(),
      night: piece.night,
      ...at(piece.fromMs),
      ...(piece.move === null ? {} : { end: at(piece.toMs) }),
      ceilingC: piece.targets.air.ceilingC,
      vpd: piece.targets.vpd,
    };
  });
}
