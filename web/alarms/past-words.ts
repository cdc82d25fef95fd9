import { valueWords } from '../../shared/rules/limit-rule.ts';
import { LIMIT_RULE_DEFINITIONS, type LimitRuleDefinition } from '../../shared/rules/rules.ts';
import type { PastAnswer, TriableRule } from '../../shared/wire/alarms/past.ts';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { duration } from '../../shared/words/alarm.ts';
import type { Reader } from '../../shared/words/plain.ts';
import { fixed, readingDifference } from '../common/format.ts';

/** Where the slider begins: at the limit the place has by day or by night, or where it has none at one that is worth a try. */
export function ownLimit(
  rule: TriableRule,
  { targets, settings }: Pick<PlaceSummary, 'targets' | 'settings'>,
): number {
  const { limitAt, range }: LimitRuleDefinition = LIMIT_RULE_DEFINITIONS[rule];
  const mistEveryMin = settings.mistEveryMin ?? targets.mist?.everyMinByDay;
  const mistPatternMs = mistEveryMin === undefined ? null : mistEveryMin * 60_000;
  const byDay = limitAt({ targets, night: false, light: true, mistPatternMs });
  return byDay ?? limitAt({ targets, night: true, light: false, mistPatternMs }) ?? range.begin;
}

/** The delay of a rule as the place has it, min. */
export function ownDelayMin(rule: TriableRule, { settings }: Pick<PlaceSummary, 'settings'>): number {
  return (settings.alarms[rule]?.onDelayMs ?? LIMIT_RULE_DEFINITIONS[rule].onDelayMs) / 60_000;
}

/** A limit with its unit as the reader reads it. */
export function limitText(rule: TriableRule, value: number, reader: Reader): string {
  return valueWords(LIMIT_RULE_DEFINITIONS[rule].unit, value, reader);
}

/** What was past the place's own limit, as the reader reads it: in unit times hours, or in hours where it is a time. */
export function harmText(rule: TriableRule, harm: number, { unit }: Reader): string {
  switch (LIMIT_RULE_DEFINITIONS[rule].unit) {
    case 'Cel':
    case 'K':
      return `${fixed(readingDifference(harm, unit), 1)} °${unit}·h`;
    case 'K/h':
      return `${fixed(readingDifference(harm, unit), 1)} °${unit}`;
    case 'kPa':
      return `${fixed(harm, 2)} kPa·h`;
    case 'min':
    case 'h':
    case 'K.h':
      return duration(harm * 3_600_000);
    case 'umol/m2/s':
      return `${fixed(harm * 0.0036, 2)} mol m⁻²`;
  }
}

/** What a trial came to in one line: how many alarms, how often, and how much was past the limit before anybody was notified. */
export function pastLine(answer: PastAnswer, reader: Reader): string {
  const { alarms, perWeek, harm, harmUnsaid, rule } = answer;
  if (answer.coveredHours === 0) return 'Nothing was recorded for it in this time.';
  const much = `${harmText(rule, harm, reader)} past the place’s own limit`;
  if (alarms.length === 0)
    return harm === 0 ? 'No alarm, and nothing past the place’s own limit.' : `No alarm, though ${much}.`;
  const times = alarms.length === 1 ? '1 alarm' : `${alarms.length} alarms`;
  const share = harm === 0 ? '' : `, ${Math.round((100 * harmUnsaid) / harm)} % of it with no active alarm`;
  return `${times}, ${fixed(perWeek, 1)} a week. ${much}${share}.`;
}

/** How long an alarm would have been active. */
export function lastedText(alarm: PastAnswer['alarms'][number], reader: Reader): string {
  const endMs = alarm.returned === null ? reader.nowMs : Date.parse(alarm.returned);
  return duration(endMs - Date.parse(alarm.raised));
}
