import { LIMIT_SHEETS } from '../../shared/model/alarm-rules.ts';
import type { PastAnswer, TriableRule } from '../../shared/wire/past.ts';
import { duration } from '../../shared/words/alarm.ts';
import { valueWords } from '../../shared/words/past-limit.ts';
import type { Reader } from '../../shared/words/plain.ts';
import { fixed, readingDifference, readingTemperature } from './format.ts';

const RANGE: Readonly<Record<TriableRule, { min: number; max: number; step: number }>> = {
  'air-over-ceiling': { min: 15, max: 40, step: 0.1 },
  'air-far-over-ceiling': { min: 20, max: 45, step: 0.1 },
  'air-below-band-at-night': { min: 0, max: 25, step: 0.1 },
  'root-too-hot': { min: 20, max: 40, step: 0.1 },
  'root-below-band': { min: 5, max: 30, step: 0.1 },
  'vpd-above-band-in-light': { min: 0.1, max: 3, step: 0.01 },
  'root-falling-towards-air': { min: 0.2, max: 5, step: 0.1 },
  'no-mist-in-light': { min: 5, max: 120, step: 1 },
  'vent-left-open': { min: 0.25, max: 12, step: 0.25 },
  'saturated-too-long': { min: 1, max: 72, step: 1 },
  'air-warmer-than-root': { min: 0, max: 10, step: 0.1 },
  'light-over-peak': { min: 50, max: 1500, step: 10 },
};

/** The limits that can be tried for a rule, in its unit. */
export function limitRange(rule: TriableRule): { min: number; max: number; step: number } {
  return RANGE[rule];
}

/** A limit with its unit as the reader reads it. */
export function limitText(rule: TriableRule, value: number, reader: Reader): string {
  return valueWords(rule, value, reader);
}

/** What was past the place's own limit, as the reader reads it: in unit times hours, or in hours where it is a time. */
export function harmText(rule: TriableRule, harm: number, { unit }: Reader): string {
  switch (LIMIT_SHEETS[rule].unit) {
    case 'Cel':
    case 'K':
      return `${fixed(readingDifference(harm, unit), 1)} °${unit}·h`;
    case 'K/h':
      return `${fixed(readingDifference(harm, unit), 1)} °${unit}`;
    case 'kPa':
      return `${fixed(harm, 2)} kPa·h`;
    case 'min':
    case 'h':
      return duration(harm * 3_600_000);
    case 'umol/m2/s':
      return `${fixed(harm * 0.0036, 2)} mol m⁻²`;
  }
}

/** What a trial came to in one line: how many alarms, how often, and how much was past the limit before anybody heard. */
export function pastLine(answer: PastAnswer, reader: Reader): string {
  const { alarms, perWeek, harm, harmUnsaid, rule } = answer;
  if (answer.coveredHours === 0) return 'Nothing was recorded for it in this time.';
  const much = `${harmText(rule, harm, reader)} past the place’s own limit`;
  if (alarms.length === 0)
    return harm === 0 ? 'No alarm, and nothing past the place’s own limit.' : `No alarm, though ${much}.`;
  const times = alarms.length === 1 ? '1 alarm' : `${alarms.length} alarms`;
  const share = harm === 0 ? '' : `, ${Math.round((100 * harmUnsaid) / harm)} % of it with no alarm standing`;
  return `${times}, ${fixed(perWeek, 1)} a week. ${much}${share}.`;
}

/** How long an alarm would have stood. */
export function lastedText(alarm: PastAnswer['alarms'][number], reader: Reader): string {
  const endMs = alarm.returned === null ? reader.nowMs : Date.parse(alarm.returned);
  return duration(endMs - Date.parse(alarm.raised));
}

/** The number beside a slider, in the reader's unit. */
export function sliderText(rule: TriableRule, value: number, { unit }: Reader): string {
  return LIMIT_SHEETS[rule].unit === 'Cel' ? fixed(readingTemperature(value, unit), 1) : fixed(value, 2);
}
