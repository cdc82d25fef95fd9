import { type BandPiece, bandsOf } from '../../../shared/exposure/bands.ts';
import { medianCurve } from '../../../shared/exposure/median.ts';
import type { Segments, Window } from '../../../shared/exposure/series.ts';
import { type Sums, sumOver } from '../../../shared/exposure/sums.ts';
import type { TargetSpan } from '../calendar/spans.ts';
import { harmIn } from '../harm/harm-in.ts';
import { bandPiece } from './bands.ts';
import { curveOf } from './curves.ts';
import { condensationCurve, PHOTOPERIOD_PPFD, rootMinusAirCurve } from './details.ts';
import {
  addSums,
  type Group,
  type HourSums,
  noSums,
  putGroup,
  putHarm,
  putWet,
  WET_CONDITIONS,
} from './hour-sums.ts';
import type { ExposureQuestion } from './question.ts';
import { wetSums } from './wet-hours.ts';

type Curves = Readonly<Record<Exclude<Group, 'ceiling' | 'daylightVpd'>, Segments>> & {
  readonly wetness: Segments | null;
};

/**
 * The sums of each of the given parts of the question's window. The window must hold them all, and its records
 * reach `fetchMarginMs` beyond both its ends.
 */
export function sumPieces(question: ExposureQuestion, pieces: readonly Window[]): HourSums[] {
  const curves = curvesOf(question);
  let first = 0;
  return pieces.map((piece) => {
    while ((question.spans[first]?.toMs ?? Number.POSITIVE_INFINITY) <= piece.fromMs) first++;
    const spans: TargetSpan[] = [];
    for (let i = first; i < question.spans.length; i++) {
      const span = question.spans[i] as TargetSpan;
      if (span.fromMs >= piece.toMs) break;
      spans.push(span);
    }
    return sumPiece(curves, { piece, spans });
  });
}

function curvesOf(question: ExposureQuestion): Curves {
  const felt = question.records['leaf/wetness'];
  return {
    rootZone: curveOf('rootZoneTemperatureC', question).segments,
    air: curveOf('airTemperatureC', question).segments,
    vpd: curveOf('airVpdKpa', question).segments,
    saturation: curveOf('relativeHumidityPct', question).segments,
    light: curveOf('ppfdUmolM2S', question).segments,
    leafVpd: curveOf('leafVpdKpa', question).segments,
    rootMinusAir: rootMinusAirCurve(question).segments,
    condensation: condensationCurve(question).segments,
    wetness: felt ? medianCurve(felt, question.settings).segments : null,
  };
}

type Part = { readonly piece: Window; readonly spans: readonly TargetSpan[] };
type Limits = { readonly low: number | null; readonly high: number | null };

function sumPiece(curves: Curves, part: Part): HourSums {
  const { piece, spans } = part;
  const sums = noSums();
  const against = (segments: Segments, bands: readonly BandPiece[]): Sums =>
    sumOver(segments, bandsOf(bands, piece), piece);
  const judged = (segments: Segments, limits: (span: TargetSpan) => Limits): Sums =>
    against(
      segments,
      spans.map((span) => ({ fromMs: span.fromMs, toMs: span.toMs, ...limits(span) })),
    );
  const fixed = (segments: Segments, limits: Limits): Sums => against(segments, [{ ...piece, ...limits }]);
  const inBand = (position: 'rootZone' | 'air'): Sums =>
    against(
      curves[position],
      spans.map((span) => bandPiece(span, position)),
    );
  putGroup(sums, 'rootZone', inBand('rootZone'));
  putGroup(sums, 'air', inBand('air'));
  putGroup(
    sums,
    'ceiling',
    judged(curves.air, ({ targets }) => ({ low: null, high: targets.air.ceilingC })),
  );
  putGroup(
    sums,
    'vpd',
    judged(curves.vpd, ({ targets }) => ({ low: targets.vpd.lowKpa, high: targets.vpd.highKpa })),
  );
  // saturated is at the threshold or above it, and so not below
  const threshold = ({ targets }: TargetSpan) => ({
    low: targets.saturation.relativeHumidityPct,
    high: null,
  });
  putGroup(sums, 'saturation', judged(curves.saturation, threshold));
  putGroup(sums, 'light', fixed(curves.light, { low: PHOTOPERIOD_PPFD, high: null }));
  putGroup(sums, 'leafVpd', fixed(curves.leafVpd, { low: null, high: null }));
  putGroup(sums, 'rootMinusAir', fixed(curves.rootMinusAir, { low: 0, high: null }));
  putGroup(sums, 'condensation', fixed(curves.condensation, { low: 0, high: null }));
  addDaylight(sums, curves.vpd, part);
  const air = { air: curves.air, humidity: curves.saturation, wetness: curves.wetness };
  WET_CONDITIONS.forEach((id, i) => {
    putWet(sums, i, wetSums(id, air, piece));
  });
  putHarm(sums, harmIn(curves, part));
  return sums;
}

function addDaylight(sums: HourSums, vpd: Segments, { piece, spans }: Part): void {
  for (const span of spans.filter(({ night }) => !night)) {
    const lit = { fromMs: Math.max(span.fromMs, piece.fromMs), toMs: Math.min(span.toMs, piece.toMs) };
    const part = noSums();
    putGroup(part, 'daylightVpd', sumOver(vpd, bandsOf([{ ...lit, low: null, high: null }], lit), lit));
    addSums(sums, part);
  }
}
