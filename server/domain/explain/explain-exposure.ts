import { DISEASE_WETNESS, type WetnessCondition } from '../../../shared/climate/wet-hours.ts';
import { lengthsOf } from '../../../shared/exposure/intersect.ts';
import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import type { ProbeQuantityName } from '../../../shared/quantities.ts';
import type { ExplainedInput, Explanation } from '../../../shared/wire/http.ts';
import { localDays } from '../calendar/days.ts';
import type { TargetSpan } from '../calendar/spans.ts';
import { leafOffsetFrom, type RecordsByQuantity } from '../exposures/curves.ts';
import { COVERED_AS, explainHarm, harmKindOf } from './explain-harm.ts';
import { EXPOSURE_FORMULAS } from './formulas.ts';
import {
  countedReadings,
  type ExposureToExplain,
  given,
  leafAssumed,
  noSuchNumber,
  valueAt,
} from './parts.ts';

/** A number's place in the exposures: `group` is the first part of its path, `item` the row of a list. */
type SplitQuestion = ExposureToExplain & { readonly group: string; readonly item: number };

/**
 * Where an exposure comes from: how it is counted, from how many readings, against which limits.
 * @throws Fault `not-found` when the path names no number of the exposures
 */
export function explainExposure(asked: ExposureToExplain): Explanation {
  const { path, exposures } = asked;
  const parts = path.split('.');
  const field = parts.at(-1) ?? '';
  const harm = parts[0] === 'harm' ? harmKindOf(field) : null;
  if (harm) {
    const asAll = { ...asked, group: COVERED_AS[harm], item: Number.NaN };
    return explainHarm(harm, asked, hoursAsked(asAll));
  }
  const about = Object.hasOwn(EXPOSURE_FORMULAS, field) ? EXPOSURE_FORMULAS[field] : undefined;
  const value = valueAt(exposures, parts);
  if (!about || value === undefined) throw noSuchNumber(`exposures.${path}`);
  const raw = { ...asked, group: parts[0] ?? '', item: Number(parts.at(-2)) };
  const coveredHours = valueAt(exposures, [...parts.slice(0, -1), 'coveredHours']);
  const key =
    field === 'coveredHours' ? about.source : (conditionOf(raw)?.source.slice(1, -1) ?? about.source);
  return {
    of: `exposures.${path}`,
    name: about.name,
    value,
    unit: about.unit,
    formula: about.formula,
    source: { key, text: asked.sourceText(key) },
    inputs: [
      ...countedReadings(madeFrom(raw), { records: asked.question.records, window: asked.question }),
      ...limitsOf(raw),
    ],
    coverage: typeof coveredHours === 'number' ? { coveredHours, ofHours: hoursAsked(raw) } : null,
    errorRange: null,
    assumptions: assumptionsOf(raw),
  };
}

/** The published condition in whose row a number of the wet hours stands. */
function conditionOf({ group, item, exposures }: SplitQuestion): WetnessCondition | null {
  const row = group === 'wetHours' ? exposures.wetHours[item] : undefined;
  const found = Object.entries<WetnessCondition>(DISEASE_WETNESS).find(([id]) => id === row?.condition);
  return found?.[1] ?? null;
}

/** Hours that could have been covered: the span, its day halves, or the part of one local day in it. */
function hoursAsked({ group, item, question }: SplitQuestion): number {
  const { fromMs, toMs, spans, timeZone: zone } = question;
  const day = group === 'light' ? localDays({ fromMs, toMs, zone })[item] : undefined;
  const asked: readonly Window[] =
    group === 'daylightVpd' ? spans.filter(({ night }) => !night) : [day ?? question];
  const inSpan = asked.map((one) => ({
    fromMs: Math.max(one.fromMs, fromMs),
    toMs: Math.min(one.toMs, toMs),
  }));
  return lengthsOf(inSpan).totalMs / MS_PER_HOUR;
}

const AIR = ['air/temperature', 'air/humidity'] as const;

/** What the probes measure from which a group of exposures was counted. */
function madeFrom({
  group,
  exposures,
  question: { records, settings },
}: SplitQuestion): readonly ProbeQuantityName[] {
  const { surface } = exposures.condensation;
  switch (group) {
    case 'rootZone':
      return ['root/temperature'];
    case 'air':
      return ['air/temperature'];
    case 'saturation':
      return ['air/humidity'];
    case 'rootMinusAir':
      return ['root/temperature', 'air/temperature'];
    case 'light':
      return [lightOf(records)];
    case 'leafVpd':
      return [...AIR, ...LEAF_MADE_FROM[leafOffsetFrom({ records, settings })](records)];
    case 'condensation':
      return surface === null ? AIR : [...AIR, `${surface}/temperature`];
    case 'wetHours':
      return records['leaf/wetness'] ? [...AIR, 'leaf/wetness'] : AIR;
    default:
      return AIR;
  }
}

function lightOf(records: RecordsByQuantity): ProbeQuantityName {
  return records['light/ppfd'] ? 'light/ppfd' : 'light/illuminance';
}

const LEAF_MADE_FROM: Readonly<
  Record<ReturnType<typeof leafOffsetFrom>, (records: RecordsByQuantity) => ProbeQuantityName[]>
> = {
  probe: () => ['leaf/temperature'],
  light: (records) => [lightOf(records)],
  stated: () => [],
  nothing: () => [],
};

function limitsOf(raw: SplitQuestion): ExplainedInput[] {
  const { group, question } = raw;
  const seen = new Set<string>();
  for (const span of question.spans) {
    if (group === 'rootZone' || group === 'air') {
      for (const limits of bandsOf(span, group)) seen.add(limits);
    }
    if (group === 'air') seen.add(`ceiling ${span.targets.air.ceilingC} °C`);
    if (group === 'vpd') seen.add(`${span.targets.vpd.lowKpa} to ${span.targets.vpd.highKpa} kPa`);
    if (group === 'saturation') seen.add(`from ${span.targets.saturation.relativeHumidityPct} %RH`);
  }
  return [...[...seen].map((value) => given('Limit in force', value, '')), ...publishedLimits(raw)];
}

/** The band of a span; while it moves, those it moves between, and for how long. */
function bandsOf({ targets, night, move }: TargetSpan, group: 'rootZone' | 'air'): string[] {
  const half = night ? 'night' : 'day';
  const words = (of: 'day' | 'night') => `${of} ${targets[group][of].lowC} to ${targets[group][of].highC} °C`;
  if (move === null) return [words(half)];
  const moving = `moving for ${targets.rampMin} min from each switch of day and night on`;
  return [words(night ? 'day' : 'night'), words(half), moving];
}

function publishedLimits(raw: SplitQuestion): ExplainedInput[] {
  const published = conditionOf(raw);
  if (!published) return [];
  const { temperatureLowC, temperatureHighC, humidityFloorPct } = published;
  return [`${temperatureLowC} to ${temperatureHighC} °C`, `from ${humidityFloorPct} %RH`].map((value) =>
    given('Published limit', value, ''),
  );
}

function assumptionsOf({ exposures, group, question: { settings, records } }: SplitQuestion): string[] {
  const gapMin = settings.maxGapMs / 60_000;
  const assumptions = [`straight between readings at most ${gapMin} min apart; a longer gap is not covered`];
  if (group === 'leafVpd') assumptions.push(...leafAssumed(leafOffsetFrom({ records, settings }), settings));
  if (group === 'light' && !records['light/ppfd']) {
    assumptions.push(`estimated from illuminance as ${settings.lightSource}`);
  }
  if (group === 'condensation' && exposures.condensation.surface === 'outside') {
    assumptions.push('no wall probe: the outside air stands in for the coldest surface');
  }
  return assumptions;
}
