import type { Alarm, AlarmFacts } from '../model/alarm.ts';
import { isLimitRule, LIMIT_SHEETS, type LimitRule } from '../model/alarm-rules.ts';
import { clock, difference, duration, type Reader, slopeWords, temperature } from './plain.ts';

type PastLimit = Extract<AlarmFacts, { kind: 'past-limit' }>;
type Words = { readonly headline: string; readonly detail: string; readonly action: string };

/** True once an alarm's condition is over. */
export function hasReturned(alarm: Alarm): boolean {
  return alarm.state !== 'unacknowledged' && alarm.state !== 'acknowledged';
}

/** What is past its limit, how far, since when, which way it goes; then its usual cause and what to do first. */
export function pastLimitWords(alarm: Alarm, facts: PastLimit, reader: Reader): Words {
  const { rule } = alarm;
  if (!isLimitRule(rule)) return { headline: `${alarm.placeName}: ${rule}.`, detail: '', action: '' };
  const said = { rule, facts, reader };
  if (hasReturned(alarm)) {
    const span = `from ${clock(facts.sinceMs, reader)} to ${clock(alarm.returnedAtMs ?? facts.atMs, reader)}`;
    return {
      headline: `${alarm.placeName}: ${OVER[rule]}.`,
      detail: `It was past its limit ${span}; worst ${valueWords(rule, facts.worst, reader)}.`,
      action: '',
    };
  }
  const { cause, consequence, action } = LIMIT_SHEETS[rule];
  const limits = `Limit ${valueWords(rule, facts.limit, reader)}, worst ${valueWords(rule, facts.worst, reader)}`;
  return {
    headline: `${alarm.placeName}: ${standingWords(said)}.`,
    detail: `${limits}, since ${clock(facts.sinceMs, reader)}. ${cause} ${consequence}`,
    action,
  };
}

const OVER: Readonly<Record<LimitRule, string>> = {
  'air-over-ceiling': 'air is back below its ceiling',
  'air-far-over-ceiling': 'air is no longer far over its ceiling',
  'air-below-band-at-night': 'air is back in its night band',
  'root-too-hot': 'the root zone is no longer too hot',
  'root-below-band': 'the root zone is back in its band',
  'root-falling-towards-air': 'the root zone no longer falls',
  'vpd-above-band-in-light': 'the air is damp enough again',
  'no-mist-in-light': 'mist pulses come again',
  'vent-left-open': 'the vent is closed again',
  'saturated-too-long': 'the air is no longer saturated',
  'air-warmer-than-root': 'the root zone is as warm as the air again',
  'light-over-peak': 'light is back below its peak',
};

type Said = { readonly rule: LimitRule; readonly facts: PastLimit; readonly reader: Reader };

function standingWords({ rule, facts, reader }: Said): string {
  const value = valueWords(rule, facts.value, reader);
  const lasts = `for ${duration(reader.nowMs - facts.sinceMs)}`;
  const far = difference(Math.abs(facts.value - facts.limit), reader);
  const trend = slopeWords(facts.slopePerMin, reader);
  switch (rule) {
    case 'air-over-ceiling':
    case 'air-far-over-ceiling':
      return `air ${value}, far over its ceiling${trend}`;
    case 'air-below-band-at-night':
      return `air ${value}, ${far} below its night band ${lasts}${trend}`;
    case 'root-too-hot':
      return `root zone ${value}, ${far} too hot ${lasts}${trend}`;
    case 'root-below-band':
      return `root zone ${value}, ${far} below its band ${lasts}${trend}`;
    case 'root-falling-towards-air':
      return `root zone falling ${value} towards air: is the mat on?`;
    case 'vpd-above-band-in-light':
      return `air VPD ${value} in light, drying faster than it should ${lasts}`;
    case 'no-mist-in-light':
      return `no mist pulse for ${value} in light`;
    case 'vent-left-open':
      return `a vent has not been closed again for ${value}`;
    case 'saturated-too-long':
      return `air saturated for ${value} since it was last vented`;
    case 'air-warmer-than-root':
      return `air ${far} warmer than the root zone ${lasts}`;
    case 'light-over-peak':
      return `light ${value}, over its peak ${lasts}`;
  }
}

/** A value of a rule with its unit, as the reader reads it. */
export function valueWords(rule: LimitRule, value: number, reader: Reader): string {
  switch (LIMIT_SHEETS[rule].unit) {
    case 'Cel':
      return temperature(value, reader);
    case 'K':
      return `${difference(value, reader)} °${reader.unit}`;
    case 'K/h':
      return `${difference(value, reader)} °${reader.unit} an hour`;
    case 'kPa':
      return `${value.toFixed(2)} kPa`;
    case 'min':
      return duration(value * 60_000);
    case 'h':
      return duration(value * 3_600_000);
    case 'umol/m2/s':
      return `${value.toFixed(0)} µmol m⁻² s⁻¹`;
  }
}
