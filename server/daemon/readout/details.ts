import { PPFD_LIMITS } from '../../../shared/climate/domain.ts';
import { FILM_AIR_LIMITS, leafFilmDrying, NET_RADIATION_LIMITS } from '../../../shared/climate/leaf-film.ts';
import { radiationTakenUpWM2 } from '../../../shared/climate/light.ts';
import { excessOver } from '../../../shared/exposure/integrate.ts';
import { thresholdSpans } from '../../../shared/exposure/threshold.ts';
import { Fault } from '../../../shared/faults.ts';
import type { Place } from '../../../shared/model/place.ts';
import type {
  FilmEstimate,
  MistAnswer,
  NowValue,
  ThermalTime,
  VentsAnswer,
} from '../../../shared/wire/http.ts';
import type { MistDetails, ThermalTimeDetails, VentsDetails } from '../../domain/explain/explain-details.ts';
import {
  asFormulasTakeIt,
  curveOf,
  pressureOfKpa,
  type RecordsByQuantity,
} from '../../domain/exposures/curves.ts';
import { PHOTOPERIOD_PPFD } from '../../domain/exposures/details.ts';
import { recognisePulses, recogniseWater } from '../../domain/mist/recognise.ts';
import { mistSummary } from '../../domain/mist/summary.ts';
import { mistWanted } from '../../domain/mist/wanted.ts';
import { saturatedSinceVent } from '../../domain/vents/since.ts';
import { BACK_WITHIN_MS, ventsOf } from '../../domain/vents/vents.ts';
import type { Span, ThermalLimits, VentEntry } from '../../ports.ts';
import { type RecordContext, recordsOf, spansOf } from '../world/records.ts';
import { type QueryContext, valuesNow } from './present.ts';

const DAY_MS = 86_400_000;
/** Of more, no single one can be told on a chart. */
const MOST_PULSES_LISTED = 600;

/** Mist over a span: pulses, those missed, the longest dry gap in light, and how long a film lasts now. */
export function mistOf(place: Place, span: Span, context: QueryContext): MistAnswer {
  return mistDetails(place, span, context).answer;
}

/** Mist over a span, with what it was counted from. */
export function mistDetails(place: Place, span: Span, context: QueryContext): MistDetails {
  // a pattern is learnt from the day before the span too
  const wide = { fromMs: span.fromMs - DAY_MS, toMs: span.toMs };
  const names = [
    'mist/valve',
    'air/temperature',
    'air/humidity',
    'leaf/wetness',
    'light/ppfd',
    'light/illuminance',
  ];
  const records = recordsOf(place, wide, names as Parameters<typeof recordsOf>[2], context);
  const { mist, light, intervalMs, wantedMs } = mistSeen({ place, records, window: wide }, context);
  const summary = mistSummary(mist, { light, window: span, intervalMs, wantedMs });
  const began = mist.pulses.filter(({ fromMs }) => fromMs >= span.fromMs && fromMs < span.toMs);
  const pulseTimes = began.map(({ fromMs }) => new Date(fromMs).toISOString());
  const answer: MistAnswer = {
    placeId: place.id,
    ...spanView(span),
    ...(began.length > MOST_PULSES_LISTED ? {} : { pulseTimes }),
    how: mist.pulses.at(-1)?.how ?? null,
    pulses: summary.pulses,
    pulsesPerHourInLight: summary.inLight.pulsesPerHour,
    pulsesPerHourInDark: summary.inDark.pulsesPerHour,
    missed: summary.missed,
    patternMin: summary.patternMs === null ? null : summary.patternMs / 60_000,
    patternFrom: summary.pattern,
    longestDryGap: summary.longestDryGap && spanView(summary.longestDryGap),
    coveredHours: summary.coveredHours,
    reliable: mist.reliable,
    reason: mist.reason,
    film: filmNow(place, context),
  };
  return { answer, summary, records };
}

/** The mist of a place as its records show it, with when it was light for a plant. */
export function mistSeen(
  {
    place,
    records,
    window,
  }: { readonly place: Place; readonly records: RecordsByQuantity; readonly window: Span },
  context: RecordContext,
) {
  const { settings } = place;
  const intervalMs = settings.mistEveryMin === null ? null : settings.mistEveryMin * 60_000;
  const wantedMs = mistWanted(intervalMs === null ? spansOf(place, window, context) : []);
  const options = { maxGapMs: settings.maxGapMs, intervalMs: intervalMs ?? wantedMs(window.toMs) };
  const probes = {
    airTemperature: records['air/temperature'],
    airHumidity: records['air/humidity'],
    leafWetness: records['leaf/wetness'],
  };
  const mist = recognisePulses({ valve: records['mist/valve'], ...probes }, options);
  const ppfd = curveOf('ppfdUmolM2S', { records, settings }).segments;
  return {
    mist,
    /** pulses that brought water, by the air and the leaf, whatever the valve says */
    water: () => recogniseWater(probes, options),
    light: thresholdSpans(ppfd, PHOTOPERIOD_PPFD, window),
    intervalMs,
    wantedMs,
  };
}

function filmNow(place: Place, context: QueryContext): FilmEstimate | null {
  const { quantities } = valuesNow(place, context);
  const { airTemperatureC: air, relativeHumidityPct: humidity } = quantities;
  if (!air || !humidity || air.value < FILM_AIR_LIMITS.low || air.value > FILM_AIR_LIMITS.high) return null;
  const { widthM, airSpeedMS, filmUm } = place.settings.leaf;
  const leaf = {
    airTemperatureC: air.value,
    relativeHumidityPct: asFormulasTakeIt(humidity.value),
    pressureKpa: pressureOfKpa(place.settings),
    leafWidthM: widthM,
    airSpeedMS,
    filmUm,
    wetSides: 1,
  } as const;
  const dryingMin = (netRadiationWM2: number | null) =>
    leafFilmDrying({ ...leaf, netRadiationWM2 }).dryingMin;
  const netRadiationWM2 = gainedFrom(quantities.ppfdUmolM2S, place);
  return {
    atAirTemperatureMin: dryingMin(null),
    cooledMin: dryingMin(0),
    inLight: netRadiationWM2 === null ? null : { dryingMin: dryingMin(netRadiationWM2), netRadiationWM2 },
    assumptions: [
      `a leaf ${widthM * 100} cm wide, wet on one side, with a film of ${filmUm} µm`,
      `air moving at ${airSpeedMS} m/s at the present temperature and humidity`,
    ],
  };
}

/** Heat that a leaf gains from the light that is measured now, W/m²; null in the dark, and where no light is read. */
function gainedFrom(light: NowValue | undefined, { settings }: Place): number | null {
  if (!light || light.state === 'stale' || light.value < PHOTOPERIOD_PPFD) return null;
  const ppfdUmolM2S = Math.min(light.value, PPFD_LIMITS.high);
  const gained = radiationTakenUpWM2({ ppfdUmolM2S, source: settings.lightSource });
  return Math.min(gained, NET_RADIATION_LIMITS.high);
}

/** Vents of a span, recognised and logged, and the hours saturated since the last. */
export function ventsIn(place: Place, span: Span, context: QueryContext): VentsAnswer {
  return ventsDetails(place, span, context).answer;
}

/** Vents of a span, with what they were recognised from. */
export function ventsDetails(place: Place, span: Span, context: QueryContext): VentsDetails {
  const { settings } = place;
  const wide = { fromMs: span.fromMs - BACK_WITHIN_MS, toMs: span.toMs + BACK_WITHIN_MS };
  const records = recordsOf(place, wide, ['air/temperature', 'air/humidity'], context);
  const { logged, vents, reliable, reason } = ventsSeen(place, records, context);
  const inSpan = vents.filter(({ fromMs, toMs }) => fromMs < span.toMs && (toMs ?? fromMs) >= span.fromMs);
  const { relativeHumidityPct } = context.world.targets(place.id, span.toMs).saturation;
  const humidity = curveOf('relativeHumidityPct', { records, settings }).segments;
  const saturation = thresholdSpans(humidity, relativeHumidityPct, span);
  const since = saturatedSinceVent(inSpan, { saturation, window: span });
  const answer: VentsAnswer = {
    placeId: place.id,
    ...spanView(span),
    vents: inSpan.map(({ fromMs, toMs, how, lowestPct, humidityBack }) => ({
      ...entryOf(logged, { fromMs, how }),
      from: new Date(fromMs).toISOString(),
      to: toMs === null ? null : new Date(toMs).toISOString(),
      how,
      lowestPct,
      humidityBack,
    })),
    reliable,
    reason,
    hoursSinceVent: since.hoursSinceVent,
    hoursSaturatedSinceVent: since.hoursSaturated,
  };
  return { answer, since, vents: inSpan, saturatedFromPct: relativeHumidityPct, records };
}

/** The vents of a place as its records and its diary show them. */
export function ventsSeen(place: Place, records: RecordsByQuantity, { store }: Pick<QueryContext, 'store'>) {
  const logged = store.diary.vents(place.id);
  const air = { temperature: records['air/temperature'] ?? [], humidity: records['air/humidity'] ?? [] };
  return { logged, ...ventsOf(air, { maxGapMs: place.settings.maxGapMs, logged }) };
}

function entryOf(logged: readonly VentEntry[], vent: { fromMs: number; how: string }) {
  const entry = vent.how === 'logged' ? logged.find(({ fromMs }) => fromMs === vent.fromMs) : undefined;
  return { id: entry?.id ?? null, note: entry?.note ?? null };
}

/** Thermal time of the root zone over a span. */
export function thermalTimeOf(place: Place, query: Span & ThermalLimits, context: QueryContext): ThermalTime {
  return thermalTimeDetails(place, query, context).answer;
}

/**
 * Thermal time of the root zone, K·h: exact along the straight lines between readings, since its rate is made of
 * straight lines too, and so its integral of what lies above each limit.
 * @source [WILKERSON05]
 */
export function thermalTimeDetails(
  place: Place,
  query: Span & ThermalLimits,
  context: QueryContext,
): ThermalTimeDetails {
  const { fromMs, toMs, ...limits } = query;
  requireRising(limits);
  const span = { fromMs, toMs };
  const records = recordsOf(place, span, ['root/temperature'], context);
  const { segments } = curveOf('rootZoneTemperatureC', { records, settings: place.settings });
  const above = (limit: number) => excessOver(segments, [{ ...span, limit }], span);
  const degreeHours = bendsOf(limits).reduce(
    (sum, { atC, slope }) => sum + slope * above(atC).unitHoursOver,
    0,
  );
  const { coveredHours } = above(limits.baseC);
  const answer = { placeId: place.id, ...spanView(span), ...limits, coveredHours, degreeHours };
  return { answer, records };
}

/** Where the rate of thermal time changes its slope, and by how much. */
function bendsOf(limits: ThermalLimits): { readonly atC: number; readonly slope: number }[] {
  const from = { atC: limits.baseC, slope: 1 };
  if ('upperC' in limits) return [from, { atC: limits.upperC, slope: -1 }];
  const { baseC, optimumC, stopC } = limits;
  const fall = (optimumC - baseC) / (stopC - optimumC);
  return [from, { atC: optimumC, slope: -1 - fall }, { atC: stopC, slope: fall }];
}

/** @throws Fault `bad-request` */
function requireRising(limits: ThermalLimits): void {
  const rising = Object.entries(limits);
  for (const [i, [field, valueC]] of rising.entries()) {
    const [before, beforeC] = rising[i - 1] ?? [field, Number.NEGATIVE_INFINITY];
    if (valueC > beforeC) continue;
    const message = `"${field}" must lie above "${before}"; they are ${valueC} and ${beforeC}.`;
    throw new Fault({ code: 'bad-request', message, details: { field } });
  }
}

function spanView({ fromMs, toMs }: Span): { from: string; to: string } {
  return { from: new Date(fromMs).toISOString(), to: new Date(toMs).toISOString() };
}
