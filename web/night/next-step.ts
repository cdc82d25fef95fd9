import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { RULES } from '../../shared/rules/rules.ts';
import type { NightRow } from '../../shared/wire/http.ts';
import { nextStepWords } from '../../shared/words/night-row.ts';

/** What to do next at a place: the action of its most urgent alarm, else what its night asks for; null for nothing. */
export function nextStepOf(row: Pick<NightRow, 'excursions'>, [alarm]: readonly Alarm[]): string | null {
  return alarm ? RULES[alarm.rule].action : nextStepWords(row);
}
