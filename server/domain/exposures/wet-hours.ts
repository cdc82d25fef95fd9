import { DISEASE_WETNESS, WET_FROM, type WetnessCondition } from '../../../shared/climate/wet-hours.ts';
import { allOf, anyOf, lengthsOf, whereAbove, whereBelow } from '../../../shared/exposure/intersect.ts';
import { medianCurve } from '../../../shared/exposure/median.ts';
import { MS_PER_HOUR, type Segments } from '../../../shared/exposure/series.ts';
import { thresholdSpans } from '../../../shared/exposure/threshold.ts';
import type { WetHours } from '../../../shared/wire/http.ts';
import type { ExposureQuestion } from './question.ts';

type Curves = { readonly air: Segments; readonly humidity: Segments; readonly wetness: Segments | null };

/**
 * Hours in each published condition under which a disease can start: a counter, never a diagnosis.
 * Exact for temperatures and humidities that are straight between readings.
 */
export function wetHoursOf(
  curves: { air: Segments; humidity: Segments },
  question: ExposureQuestion,
): WetHours[] {
  const felt = question.records['leaf/wetness'];
  const wetness = felt ? medianCurve(felt, question.settings).segments : null;
  return Object.entries(DISEASE_WETNESS).map(([condition, published]) =>
    count({ condition, published, curves: { ...curves, wetness } }, question),
  );
}

type Counted = { readonly condition: string; readonly published: WetnessCondition; readonly curves: Curves };

function count({ condition, published, curves }: Counted, question: ExposureQuestion): WetHours {
  const spans = (segments: Segments, threshold: number) => thresholdSpans(segments, threshold, question);
  const warmEnough = spans(curves.air, published.temperatureLowC);
  // the upper limit itself still counts, and probes with coarse steps dwell on it
  const tooWarm = spans(curves.air, published.temperatureHighC + 1e-9);
  const wet = wetSpans(published, curves, spans);
  const known = allOf([anyOf([whereAbove(warmEnough), whereBelow(warmEnough)]), wet.known]);
  const held = lengthsOf(allOf([whereAbove(warmEnough), whereBelow(tooWarm), wet.holds]));
  return {
    condition,
    name: published.name,
    coveredHours: lengthsOf(known).totalMs / MS_PER_HOUR,
    hours: held.totalMs / MS_PER_HOUR,
    longestHours: held.longestMs / MS_PER_HOUR,
    source: published.source,
  };
}

type SpansOf = (segments: Segments, threshold: number) => ReturnType<typeof thresholdSpans>;

/** Wet by what feels the leaf; by the air too where that counts, or where nothing feels it. */
function wetSpans(published: WetnessCondition, { humidity, wetness }: Curves, spans: SpansOf) {
  const sides = [
    ...(wetness ? [spans(wetness, WET_FROM)] : []),
    ...(wetness === null || published.humidity === 'counts as published'
      ? [spans(humidity, published.humidityFloorPct)]
      : []),
  ];
  const holds = anyOf(sides.map(whereAbove));
  // what is wet by one is wet, whether the other tells or not
  const allTell = allOf(sides.map((side) => anyOf([whereAbove(side), whereBelow(side)])));
  return { holds, known: anyOf([holds, allTell]) };
}
