import { minutesWithoutMist } from '../../../shared/harm/minutes-without-mist.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { MistAdvice } from '../../../shared/wire/places/advice.ts';
import {
  DARK_TRIGGER_KPA_MIN,
  LONGEST_LIT_MIN,
  type MistMoment,
  runTimer,
  STEPPED,
} from '../../domain/advice/mist-timers.ts';
import { batchesStanding } from '../../domain/batches/standing.ts';
import { curveOf } from '../../domain/exposures/curves.ts';
import { PHOTOPERIOD_PPFD } from '../../domain/exposures/details.ts';
import { valueIn } from '../../domain/exposures/value-in.ts';
import { filmMinutes } from '../../domain/mist/film-minutes.ts';
import type { Parts, Span } from '../../ports.ts';
import { mistOf } from '../readout/details.ts';
import type { QueryContext } from '../readout/present.ts';
import { recordsOf } from '../world/records.ts';

const STEP_MIN = 5;
const STEP_MS = STEP_MIN * 60_000;
const DAY_MS = 86_400_000;
/** With less nothing is advised, h. */
const LEAST_HOURS = 24;
/** Of the shortest time that cuttings of an age stand without mist, they may stand dry so long: a wide margin. PROPOSAL. */
const MAY_DRY_SHARE = 0.25;
const READ = ['air/temperature', 'air/humidity', 'light/ppfd', 'light/illuminance'] as const;

/** Advice on the mist of a place from its last days. */
export function* mistAdvice(
  place: Place,
  { days }: { readonly days: number },
  context: QueryContext,
): Parts<MistAdvice> {
  const toMs = context.clock.nowMs();
  const span = { fromMs: toMs - days * DAY_MS, toMs };
  const batch = youngest(place, toMs, context);
  const measured = new Set(context.world.probesOf(place.id).map(({ quantity }) => quantity));
  const nothing = {
    placeId: place.id,
    from: new Date(span.fromMs).toISOString(),
    to: new Date(toMs).toISOString(),
    coveredHours: 0,
    everyMin: null,
    crop: batch?.crop ?? null,
    ageDays: batch && (toMs - batch.stuckAtMs) / DAY_MS,
    timers: [],
    waterSavedShare: null,
    assumptions: [],
  };
  if (!measured.has('air/temperature') || !measured.has('air/humidity'))
    return { ...nothing, reason: 'no-air' };
  if (!measured.has('light/ppfd') && !measured.has('light/illuminance'))
    return { ...nothing, reason: 'no-light' };
  const everyMin = mistOf(place, { fromMs: toMs - DAY_MS, toMs }, context).patternMin;
  if (everyMin === null) return { ...nothing, reason: 'no-interval' };
  yield;
  const moments: (MistMoment | null)[] = [];
  for (let fromMs = span.fromMs; fromMs < toMs; fromMs += DAY_MS) {
    moments.push(...momentsOf(place, { fromMs, toMs: Math.min(fromMs + DAY_MS, toMs) }, context));
    yield;
  }
  const coveredHours = (moments.filter((one) => one !== null).length * STEP_MIN) / 60;
  if (coveredHours < LEAST_HOURS) return { ...nothing, everyMin, coveredHours, reason: 'too-little' };
  const { filmUm } = place.settings.leaf;
  const run = (timer: 'fixed' | 'stepped' | 'advised') =>
    runTimer(timer, moments, { stepMin: STEP_MIN, everyMin, filmUm });
  const [fixed, stepped, advised] = [run('fixed'), run('stepped'), run('advised')];
  return {
    ...nothing,
    everyMin,
    coveredHours,
    timers: [fixed, stepped, advised],
    waterSavedShare: fixed.waterLM2 === 0 ? null : 1 - advised.waterLM2 / fixed.waterLM2,
    assumptions: assumptionsOf(place, everyMin, batch !== null),
    reason: null,
  };
}

function assumptionsOf({ settings }: Place, everyMin: number, hasBatch: boolean): string[] {
  const { widthM, airSpeedMS, filmUm } = settings.leaf;
  return [
    `a leaf ${widthM * 100} cm wide with a film of ${filmUm} µm on one side, air moving at ${airSpeedMS} m/s`,
    `each pulse leaves a whole film: ${filmUm / 1000} L/m²`,
    `fixed: every ${everyMin.toFixed(0)} min day and night; stepped: the same in the stronger half of the light, ${STEPPED.weakLight} times as long in weaker light, ${STEPPED.dark} times in the dark`,
    hasBatch
      ? 'advised: in light once the film is gone and a quarter of the shortest time has passed that cuttings of this age stand dry'
      : 'advised: in light once the film is gone; no batch is entered, so cuttings count as just stuck',
    `advised: in light no more than ${LONGEST_LIT_MIN} min apart, as a film is an estimate`,
    `advised in the dark: only once ${DARK_TRIGGER_KPA_MIN} kPa·min of deficit have gathered`,
    'a published controller of this kind used at least 55 % less water at equal rooting, in poinsettia',
  ];
}

function momentsOf(place: Place, span: Span, context: QueryContext): (MistMoment | null)[] {
  const { settings } = place;
  const records = recordsOf(place, span, READ, context);
  const curve = (name: Parameters<typeof curveOf>[0]) =>
    valueIn(curveOf(name, { records, settings }).segments);
  const [airAt, humidityAt] = [curve('airTemperatureC'), curve('relativeHumidityPct')];
  const [lightAt, vpdAt] = [curve('ppfdUmolM2S'), curve('airVpdKpa')];
  const times: number[] = [];
  for (let tMs = span.fromMs; tMs < span.toMs; tMs += STEP_MS) times.push(tMs);
  const strongest = Math.max(0, ...times.map((tMs) => lightAt(tMs) ?? 0));
  const { relativeHumidityPct: saturatedPct } = context.world.targets(place.id, span.toMs).saturation;
  return times.map((tMs) => {
    const [airTemperatureC, relativeHumidityPct, ppfdUmolM2S] = [airAt(tMs), humidityAt(tMs), lightAt(tMs)];
    const vpdKpa = vpdAt(tMs);
    if (airTemperatureC === null || relativeHumidityPct === null || ppfdUmolM2S === null || vpdKpa === null)
      return null;
    const filmMin = filmMinutes({ airTemperatureC, relativeHumidityPct, ppfdUmolM2S }, settings);
    if (filmMin === undefined) return null;
    return {
      filmMin,
      lit: ppfdUmolM2S >= PHOTOPERIOD_PPFD,
      strong: ppfdUmolM2S >= strongest / 2,
      vpdKpa,
      saturated: relativeHumidityPct >= saturatedPct,
      mayDryMin: mayDryMin(place, { tMs, vpdKpa, ppfdUmolM2S }, context),
    };
  });
}

type Air = { readonly tMs: number; readonly vpdKpa: number; readonly ppfdUmolM2S: number };

function mayDryMin(place: Place, { tMs, vpdKpa, ppfdUmolM2S }: Air, context: QueryContext): number {
  const batch = youngest(place, tMs, context);
  if (batch === null) return 0;
  const estimate = minutesWithoutMist({
    ageDays: Math.min(6, Math.max(0, (tMs - batch.stuckAtMs) / DAY_MS)),
    vpdKpa: Math.max(0, vpdKpa),
    ppfdUmolM2S: Math.max(0, ppfdUmolM2S),
    isPoinsettia: batch.isPoinsettia,
  });
  return estimate === null ? 0 : estimate.low * MAY_DRY_SHARE;
}

/** Of the batches that stand there, the one stuck last: it needs mist most. */
function youngest(place: Place, nowMs: number, { store }: QueryContext) {
  const standing = batchesStanding(store.batches.atPlace(place.id), { placeId: place.id, nowMs });
  return standing.toSorted((a, b) => b.stuckAtMs - a.stuckAtMs)[0] ?? null;
}
