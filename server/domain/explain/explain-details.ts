import { MOST_FILM_UM, USUAL_LEAF } from '../../../shared/climate/leaf-film.ts';
import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import type { PlaceSettings } from '../../../shared/model/place.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';
import type {
  ExplainedInput,
  Explanation,
  MistAnswer,
  ThermalTime,
  VentsAnswer,
} from '../../../shared/wire/http.ts';
import { pressureOfKpa, type RecordsByQuantity } from '../exposures/curves.ts';
import { PHOTOPERIOD_PPFD } from '../exposures/details.ts';
import type { MistSummary } from '../mist/summary.ts';
import { counting } from '../present/now.ts';
import type { SinceVent } from '../vents/since.ts';
import type { Vent } from '../vents/vent.ts';
import { BACK_WITHIN_MS } from '../vents/vents.ts';
import { DETAIL_FORMULAS } from './formulas.ts';
import {
  countedReadings,
  given,
  hoursLong,
  type NamedReading,
  newestReadings,
  noSuchNumber,
  valueAt,
} from './parts.ts';

/** What is said of the mist of a span, and what it was counted from. */
export type MistDetails = {
  readonly answer: MistAnswer;
  readonly summary: MistSummary;
  readonly records: RecordsByQuantity;
};

/** What is said of the vents of a span; `vents` are those of the answer, in its order. */
export type VentsDetails = {
  readonly answer: VentsAnswer;
  readonly since: SinceVent;
  readonly vents: readonly Vent[];
  readonly saturatedFromPct: number;
  readonly records: RecordsByQuantity;
};

export type ThermalTimeDetails = { readonly answer: ThermalTime; readonly records: RecordsByQuantity };

type DetailToExplain = {
  /** path of the number, such as `mist.film.cooledMin` or `vents.vents.0.lowestPct` */
  readonly of: string;
  readonly span: Window;
  readonly settings: PlaceSettings;
  readonly sourceText: (key: string) => string;
};

type Basis = Pick<Explanation, 'value' | 'inputs' | 'coverage' | 'assumptions'>;

const AIR = ['air/temperature', 'air/humidity'] as const;
const OF_LIGHT: readonly ProbeQuantityName[] = ['light/ppfd', 'light/illuminance'];
const BY_LIGHT = /^mist\.(pulsesPerHour|missed|patternMin|longestDryGap)/;

/**
 * Where a number of the mist, or of the film on a leaf, comes from.
 * @throws Fault `not-found` when the path names no number of the answer
 */
export function explainMist(
  asked: DetailToExplain & MistDetails & { readonly readings: readonly NamedReading[] },
): Explanation {
  const { of, span, answer, records } = asked;
  const value = of === 'mist.longestDryGap' ? gapMin(answer) : valueIn(answer, of);
  if (of.startsWith('mist.film.'))
    return explanation(asked, { value, coverage: null, ...filmBasis(asked, value) });
  const seenBy = seenByOf(records);
  const light: ProbeQuantityName = records['light/ppfd'] ? 'light/ppfd' : 'light/illuminance';
  const quantities = BY_LIGHT.test(of) ? [...seenBy, light] : seenBy;
  return explanation(asked, {
    value,
    inputs: [
      ...countedReadings(quantities, { records, window: span }),
      spanInput(span),
      ...mistInputs(asked),
    ],
    coverage: { coveredHours: answer.coveredHours, ofHours: hoursLong(span) },
    assumptions: mistAssumptions(asked, seenBy),
  });
}

/**
 * Where a number of the vents comes from.
 * @throws Fault `not-found` when the path names no number of the answer
 */
export function explainVents(asked: DetailToExplain & VentsDetails): Explanation {
  const { of, span, answer, since, records, saturatedFromPct } = asked;
  const value = valueIn(answer, of);
  const assumptions = ventAssumptions(asked);
  const vent = asked.vents[Number(of.split('.')[2])];
  if (vent) {
    const counted = { records, window: openOf(vent), when: 'while it was open' };
    const inputs = [...countedReadings(AIR, counted), ...ventTimes('Vent', vent)];
    return explanation(asked, { value, inputs, coverage: null, assumptions });
  }
  const last = since.lastVent ? ventTimes('Last vent', since.lastVent) : [];
  if (of !== 'vents.hoursSaturatedSinceVent') {
    const inputs = [...countedReadings(AIR, { records, window: span }), spanInput(span), ...last];
    return explanation(asked, { value, inputs, coverage: null, assumptions });
  }
  const ofHours = answer.hoursSinceVent ?? hoursLong(span);
  const window = { fromMs: span.toMs - ofHours * MS_PER_HOUR, toMs: span.toMs };
  return explanation(asked, {
    value,
    inputs: [
      ...countedReadings(['air/humidity'], { records, window, when: 'since' }),
      given('Limit in force', `from ${saturatedFromPct} %RH`, ''),
      ...last,
    ],
    // sums of many parts may exceed the whole by the last bit
    coverage: { coveredHours: Math.min(since.coveredHours, ofHours), ofHours },
    assumptions: [
      ...assumptions,
      joinedWithin(asked.settings),
      'time not covered is not counted as saturated',
    ],
  });
}

/**
 * Where the thermal time of the root zone comes from.
 * @throws Fault `not-found` when the path names no number of the answer
 */
export function explainThermalTime(asked: DetailToExplain & ThermalTimeDetails): Explanation {
  const { of, span, answer, records, settings } = asked;
  const { baseC, upperC, optimumC, stopC, coveredHours } = answer;
  const limit = (label: string, valueC: number | undefined) =>
    valueC === undefined ? [] : [given(label, valueC, '°C')];
  return explanation(asked, {
    value: valueIn(answer, of),
    inputs: [
      ...countedReadings(['root/temperature'], { records, window: span }),
      given('Base', baseC, '°C'),
      ...limit('Upper limit', upperC),
      ...limit('Optimum', optimumC),
      ...limit('Stop', stopC),
    ],
    coverage: { coveredHours, ofHours: hoursLong(span) },
    assumptions: [
      joinedWithin(settings),
      upperC === undefined
        ? 'from optimum to stop the rate falls in a straight line'
        : 'warmth above the upper limit counts as the upper limit',
    ],
  });
}

function explanation({ of, sourceText }: DetailToExplain, basis: Basis): Explanation {
  const about = formulaOf(of);
  const { name, unit, formula, source } = about;
  return {
    of,
    name,
    unit,
    formula,
    source: { key: source, text: sourceText(source) },
    errorRange: null,
    ...basis,
  };
}

function formulaOf(of: string) {
  const key = of.replace(/\.\d+\./, '.*.');
  const about = Object.hasOwn(DETAIL_FORMULAS, key) ? DETAIL_FORMULAS[key] : undefined;
  if (!about) throw noSuchNumber(of);
  return about;
}

function valueIn(answer: object, of: string): number | null {
  formulaOf(of);
  const value = valueAt(answer, of.split('.').slice(1));
  if (value === undefined) throw noSuchNumber(of);
  return value;
}

function gapMin({ longestDryGap: gap }: MistAnswer): number | null {
  return gap && (Date.parse(gap.to) - Date.parse(gap.from)) / 60_000;
}

const spanInput = (span: Window) => given('Span asked about', hoursLong(span), 'h');
const joinedWithin = ({ maxGapMs }: PlaceSettings) =>
  `straight between readings at most ${maxGapMs / 60_000} min apart; a longer gap is not covered`;
const doubted = ({ reliable, reason }: { reliable: boolean; reason: string | null }) =>
  reliable ? [] : [`not to be counted on: ${reason ?? 'it is not known why'}`];

/** A valve that was read decides alone. */
function seenByOf(records: RecordsByQuantity): readonly ProbeQuantityName[] {
  if (records['mist/valve']?.some(({ timesMs }) => timesMs.length > 0)) return ['mist/valve'];
  return records['leaf/wetness'] ? [...AIR, 'leaf/wetness'] : AIR;
}

function mistInputs({ of, answer, summary, settings }: DetailToExplain & MistDetails): ExplainedInput[] {
  const { patternMin, longestDryGap: gap } = answer;
  const rate = { pulsesPerHourInLight: summary.inLight, pulsesPerHourInDark: summary.inDark }[of.slice(5)];
  if (rate) return [given('Pulses', rate.pulses, ''), given('Hours on record', rate.coveredHours, 'h')];
  if (of === 'mist.longestDryGap' && gap) return [moment('Dry from', gap.from), moment('Dry to', gap.to)];
  if (of !== 'mist.missed' && of !== 'mist.patternMin') return [];
  const { mistEveryMin } = settings;
  const interval =
    answer.patternFrom === 'wanted'
      ? given('Interval wanted by the targets', patternMin ?? 'none', 'min')
      : given('Interval stated for the place', mistEveryMin ?? 'none', mistEveryMin ? 'min' : '');
  return of === 'mist.missed' && patternMin !== null
    ? [given('Pattern', patternMin, 'min'), interval]
    : [interval];
}

function mistAssumptions(
  asked: DetailToExplain & MistDetails,
  seenBy: readonly ProbeQuantityName[],
): string[] {
  const { of, answer, records, settings } = asked;
  const assumptions = [...doubted(answer)];
  assumptions.push(
    seenBy[0] === 'mist/valve'
      ? `a reading of the valve holds until the next, for ${settings.maxGapMs / 60_000} min at most`
      : 'near saturation mist leaves no mark in the air: that time is not covered',
  );
  if (!BY_LIGHT.test(of)) return assumptions;
  assumptions.push(
    `light is ${PHOTOPERIOD_PPFD} µmol m⁻² s⁻¹ or more; dark of less than 30 min between light counts as light`,
  );
  if (!records['light/ppfd'] && records['light/illuminance']) {
    assumptions.push(`light estimated from illuminance as ${settings.lightSource}`);
  }
  return assumptions;
}

function filmBasis(
  {
    of,
    answer,
    readings,
    settings,
  }: DetailToExplain & MistDetails & { readonly readings: readonly NamedReading[] },
  value: number | null,
): Pick<Basis, 'inputs' | 'assumptions'> {
  const { leaf } = settings;
  const byLight = of.startsWith('mist.film.inLight.');
  const stale = AIR.filter(
    (name) =>
      !counting(readings.filter(({ quantity }) => quantity === name)).some(({ reporting }) => reporting),
  );
  return {
    inputs: [
      ...newestReadings(byLight ? [...AIR, ...OF_LIGHT] : AIR, readings),
      given('Leaf width', Number((leaf.widthM * 100).toFixed(2)), 'cm'),
      given('Air speed', leaf.airSpeedMS, 'm/s'),
      given('Film of water', leaf.filmUm, 'µm'),
      given('Air pressure', Number(pressureOfKpa(settings).toFixed(3)), 'kPa'),
    ],
    assumptions: [
      ...(value === null ? ['no number: in air so moist the film never dries'] : []),
      ...(stale.length > 0 ? ['out of date: no air probe reports any more'] : []),
      ...(answer.film?.assumptions ?? []),
      'calculated for the air as it is now: what was shown a minute ago was for the air then',
      `usual film ${USUAL_LEAF.filmUm} µm [DICKINSON93], at most about ${MOST_FILM_UM} µm on one side of a leaf [PALM]; usual leaf and air speed: common practice, no source`,
      ...(settings.altitudeM === null ? ['no altitude stated: sea level'] : []),
      ...(byLight ? [lightTakenUp(settings)] : ['no light on the leaf']),
      'conductances of 20 °C and sea level; an estimate no better than the film and the air speed assumed',
    ],
  };
}

function lightTakenUp({ lightSource }: PlaceSettings): string {
  return lightSource === 'daylight'
    ? 'a leaf lying flat takes up half of daylight [CN98, recalled], heat radiation of the surroundings left out'
    : `a leaf lying flat takes up 0.85 of the light of ${lightSource} from 400 to 700 nm [CN98, recalled]; infrared of the lamp left out, so that it may dry sooner`;
}

function ventAssumptions({ answer }: VentsDetails): string[] {
  return [
    ...doubted(answer),
    'recognised where vapour pressure loses 15 % and humidity 5 %RH within 5 min, for 10 min or more; a vent logged by hand wins',
  ];
}

/** When a vent's lowest humidity was searched for. */
function openOf({ fromMs, toMs, how }: Vent): Window {
  const endMs = toMs ?? (how === 'logged' ? fromMs + BACK_WITHIN_MS : Number.POSITIVE_INFINITY);
  return { fromMs, toMs: endMs + 1 };
}

function ventTimes(name: string, { fromMs, toMs, how }: Vent): ExplainedInput[] {
  const opened = { ...given(`${name}: opened`, how, ''), at: new Date(fromMs).toISOString() };
  if (toMs === null) return [opened];
  return [opened, { ...given(`${name}: shut`, how, ''), at: new Date(toMs).toISOString() }];
}

function moment(name: string, at: string): ExplainedInput {
  return { ...given(name, 'in light', ''), at };
}
