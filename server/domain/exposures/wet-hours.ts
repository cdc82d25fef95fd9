import { DISEASE_WETNESS, WET_FROM, type WetnessCondition } from '../../../shared/climate/wet-hours.ts';
import { allOf, anyOf, lengthsOf, whereAbove, whereBelow } from '../../../shared/exposure/intersect.ts';
import type { Segments, Window } from '../../../shared/exposure/series.ts';
import { thresholdSpans } from '../../../shared/exposure/threshold.ts';
import type { WetSums } from './hour-sums.ts';

type Curves = { readonly air: Segments; readonly humidity: Segments; readonly wetness: Segments | null };

/**
 * Time in a published condition under which a disease can start: a counter, never a diagnosis.
 * Exact for temperatures and humidities that are straight between readings.
 * @param id of DISEASE_WETNESS
 */
export function wetSums(id: string, curves: Curves, window: Window): WetSums {
  const published: WetnessCondition | undefined = Object.hasOwn(DISEASE_WETNESS, id)
    ? DISEASE_WETNESS[id as keyof typeof DISEASE_WETNESS]
    : undefined;
  if (!published) throw new RangeError(`no published condition is called ${id}`);
  const spans = (segments: Segments, threshold: number) => thresholdSpans(segments, threshold, window);
  const warmEnough = spans(curves.air, published.temperatureLowC);
  // the upper limit itself still counts, and probes with coarse steps dwell on it
  const tooWarm = spans(curves.air, published.temperatureHighC + 1e-9);
  const wet = wetSpans(published, curves, spans);
  const known = allOf([anyOf([whereAbove(warmEnough), whereBelow(warmEnough)]), wet.known]);
  const held = allOf([whereAbove(warmEnough), whereBelow(tooWarm), wet.holds]);
  const { totalMs, longestMs } = lengthsOf(held);
  const [first, last] = [held[0], held.at(-1)];
  return {
    spanMs: window.toMs - window.fromMs,
    coveredMs: lengthsOf(known).totalMs,
    heldMs: totalMs,
    longestMs,
    firstMs: first?.fromMs === window.fromMs ? first.toMs - first.fromMs : 0,
    lastMs: last?.toMs === window.toMs ? last.toMs - last.fromMs : 0,
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
  // what is wet by one is wet, whether the other reports or not
  const allKnown = allOf(sides.map((side) => anyOf([whereAbove(side), whereBelow(side)])));
  return { holds, known: anyOf([holds, allKnown]) };
}
