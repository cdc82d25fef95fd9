import type { ExcursionKind } from '../wire/places/night.ts';
import { ALARM_RULES, type AlarmRule, RULES } from './rules.ts';

/** Rules about a kind that no harm names. */
const WATCHED_BY: Readonly<Partial<Record<ExcursionKind, readonly AlarmRule[]>>> = {
  saturated: ['saturated-too-long'],
  'no-mist': ['no-mist-in-light', 'mist-without-water'],
  'no-data': ['no-data'],
};

/** The rules that watch a kind of excursion, in the order of the list of rules; none for air above its band. */
export function rulesAbout(kind: ExcursionKind): readonly AlarmRule[] {
  return WATCHED_BY[kind] ?? ALARM_RULES.filter((rule) => RULES[rule].harm === kind);
}
