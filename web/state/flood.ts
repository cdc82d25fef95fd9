import { type AlarmPriority, ruleSheet } from '../../shared/model/alarm-rules.ts';
import type { FloodFacts } from '../../shared/wire/http.ts';
import { clock, type Reader } from '../../shared/words/plain.ts';

const PRIORITIES: readonly AlarmPriority[] = ['high', 'medium', 'low'];

/** A flood of alarms in words: how many, which was the first, how urgent, and where. */
export function floodWords({ told, since, first, byPriority, byPlace }: FloodFacts, reader: Reader) {
  const urgent = PRIORITIES.filter((priority) => byPriority[priority] > 0).map(
    (priority) => `${byPriority[priority]} ${priority}`,
  );
  const where = byPlace.map(({ placeName, told: times }) => `${placeName} ${times}`);
  return {
    headline: `${told} alarms in 10 minutes`,
    first: `First was ${first.placeName}: ${ruleSheet(first.rule).name}`,
    detail: `By priority: ${urgent.join(', ')}. By place: ${where.join(', ')}. More than one person can answer since ${clock(Date.parse(since), reader)}: those of high priority are told one by one, those of medium priority together, once a minute.`,
  };
}
