import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { RULES } from '../../shared/rules/rules.ts';
import type { NightRow } from '../../shared/wire/http.ts';
import { nextStepWords } from '../../shared/words/night-row.ts';
import { isReturned } from '../alarms/alarms.ts';

/** What to do next at a place: the action of its most urgent alarm, else what its night asks for; null for nothing. */
export function nextStepOf(row: Pick<NightRow, 'excursions'>, alarms: readonly Alarm[]): string | null {
  // what is over and was not acknowledged asks for nobody's hand any more
  const alarm = alarms.find((one) => !isReturned(one));
  return alarm ? RULES[alarm.rule].action : nextStepWords(row);
}
