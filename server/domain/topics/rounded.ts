import { HARM_SCALE } from '../../../shared/harm/scale.ts';
import type { Alarm } from '../../../shared/model/alarms/alarm.ts';
import {
  PROBE_QUANTITIES,
  SERIES_QUANTITIES,
  type SeriesQuantityName,
  toResolution,
} from '../../../shared/quantities.ts';
import { factsFromWire, factsOnWire } from '../../../shared/rules/ceiling-alias.ts';
import type { LimitUnit } from '../../../shared/rules/rule.ts';
import { isLimitRule, LIMIT_RULE_DEFINITIONS } from '../../../shared/rules/rules.ts';
import type { NowValue, PlaceNow } from '../../../shared/wire/http.ts';

/** Limits are set and slopes are of several readings: they are published a tenth finer than values. */
const FINER = 10;

const KELVIN = PROBE_QUANTITIES['air/temperature'].resolution;
const KILOPASCAL = SERIES_QUANTITIES.airVpdKpa.resolution;
/** Of harm, 1 of which is a batch: an error of 0.3 K moves it by some 8 %. */
const HARM = 0.01;

/** Smallest step of a value of a rule, in its unit. Falls and gaps are of readings that come minutes apart. */
const RULE_RESOLUTION: Readonly<Record<LimitUnit, number>> = {
  Cel: KELVIN,
  K: KELVIN,
  'K/h': 10 * KELVIN,
  'K.h': 10 * KELVIN,
  kPa: KILOPASCAL,
  'umol/m2/s': PROBE_QUANTITIES['light/ppfd'].resolution,
  min: 0.1,
  h: 0.01,
};

type Lately = PlaceNow['lately'][number];

/**
 * The present state of a place as it is retained on its topic.
 * @param now as it is over HTTP
 * @returns the same with each number rounded to what its probes can know
 */
export function roundedNow(now: PlaceNow): PlaceNow {
  const rounded = Object.entries(now.quantities).map(([name, value]) => [name, roundedValue(name, value)]);
  return {
    ...now,
    harm: orNull(now.harm, HARM),
    minutesLeft: orNull(now.minutesLeft, 1),
    lately: now.lately.map(roundedLately),
    quantities: Object.fromEntries(rounded),
  };
}

function orNull(value: number | null, resolution: number): number | null {
  return value === null ? null : toResolution(value, resolution);
}

function roundedLately(lately: Lately): Lately {
  const { kind, peak, furthest, harm } = lately;
  const resolution = kind !== 'no-data' && HARM_SCALE[kind].unit === 'kPa' ? KILOPASCAL : KELVIN;
  return {
    ...lately,
    peak: orNull(peak, resolution),
    furthest: orNull(furthest, resolution),
    harm: orNull(harm, HARM),
  };
}

function roundedValue(name: string, now: NowValue): NowValue {
  const { resolution } = SERIES_QUANTITIES[name as SeriesQuantityName];
  const step = (value: number) => toResolution(value, resolution);
  const { value, range } = now;
  return {
    ...now,
    value: step(value),
    ...(range === undefined ? {} : { range: { low: step(range.low), high: step(range.high) } }),
  };
}

/**
 * An alarm as it is retained on its topic.
 * @param alarm as it is over HTTP
 * @returns the same with the numbers of its facts rounded to what its probes can know
 */
export function roundedAlarm(alarm: Alarm): Alarm {
  const { rule } = alarm;
  const facts = factsFromWire(alarm.facts);
  if (facts?.kind !== 'past-limit' || !isLimitRule(rule)) return alarm;
  const resolution = RULE_RESOLUTION[LIMIT_RULE_DEFINITIONS[rule].unit];
  const { value, limit, worst, slopePerMin } = facts;
  const rounded = {
    ...facts,
    value: toResolution(value, resolution),
    limit: toResolution(limit, resolution / FINER),
    worst: toResolution(worst, resolution),
    slopePerMin: orNull(slopePerMin, resolution / FINER),
  };
  return { ...alarm, facts: factsOnWire(rule, rounded) };
}
