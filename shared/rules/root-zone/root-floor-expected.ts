import { clock, temperature } from '../../words/plain.ts';
import type { FloorExpectedFacts } from '../facts.ts';
import { type AlarmWords, onlyHeadline, type RuleDefinition, type Subject, wordsOf } from '../rule.ts';

const ACTION = 'Check that the mat is warm, and cover the bench before night.';

/** A root zone that is expected to fall below its band by morning: an early notice, never a high alarm by itself. */
export const rootFloorExpected = {
  id: 'root-floor-expected',
  name: 'root zone expected to fall below its band',
  priority: 'low',
  respondWithinMin: 120,
  group: null,
  cause: 'A cold night, or a mat that does not keep up.',
  consequence: 'Rooting slows; the batch is not lost.',
  action: ACTION,
  clause: {
    is: 'root zone expected to fall below its band',
    was: 'root zone was expected to fall below its band',
  },
  words: wordsOf('floor-expected', words),
} as const satisfies RuleDefinition;

function words({ placeName, facts, isOver, reader }: Subject<FloorExpectedFacts>): AlarmWords {
  const { expectedMs, morningMs, lowest } = facts;
  const floor = temperature(facts.floorC, reader);
  if (isOver)
    return onlyHeadline(`${placeName}: the early notice about a root zone below ${floor} has ended.`);
  const when =
    expectedMs === null ? `before ${clock(morningMs, reader)}` : `at about ${clock(expectedMs, reader)}`;
  const span = lowest && `${temperature(lowest.low80C, reader)} to ${temperature(lowest.high80C, reader)}`;
  const coldest = lowest ? ` Lowest by morning: ${temperature(lowest.valueC, reader)} (${span}).` : '';
  return {
    headline: `${placeName}: root zone falls below ${floor}, the low edge of its band, ${when} if nothing changes.`,
    detail: `An estimate from the record of this place.${coldest} Root zone ${temperature(facts.valueC, reader)} at ${clock(facts.atMs, reader)}.`,
    action: ACTION,
  };
}
