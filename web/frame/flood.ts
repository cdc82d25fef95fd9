import { type AlarmPriority, RULES } from '../../shared/rules/rules.ts';
import type { FloodFacts } from '../../shared/wire/http.ts';
import { clock, type Reader } from '../../shared/words/plain.ts';

const PRIORITIES: readonly AlarmPriority[] = ['high', 'medium', 'low'];

/** Places named, those with most alarms first. */
const MOST_PLACES = 3;

/** A flood of alarms in words: how many, which was the first, how urgent, and where. */
export function floodWords(
  { told: reported, since, first, byPriority, byPlace }: FloodFacts,
  reader: Reader,
) {
  const urgent = PRIORITIES.filter((priority) => byPriority[priority] > 0).map(
    (priority) => `${byPriority[priority]} ${priority}`,
  );
  const others = byPlace.length - MOST_PLACES;
  const where = byPlace.slice(0, MOST_PLACES).map(({ placeName, told: times }) => `${placeName} ${times}`);
  if (others > 0) where.push(others === 1 ? '1 other place' : `${others} other places`);
  return {
    headline: `${reported} alarms in 10 minutes`,
    first: `First was ${first.placeName}: ${RULES[first.rule].name}`,
    detail: `By priority: ${urgent.join(', ')}. By place: ${where.join(', ')}. More than one person can answer, since ${clock(Date.parse(since), reader)}: high priority is sent one by one, medium together, once a minute.`,
  };
}
