import { clock, duration } from '../../words/plain.ts';
import type { NoDataFacts } from '../facts.ts';
import { type AlarmWords, onlyHeadline, type RuleDefinition, type Subject, wordsOf } from '../rule.ts';

const ACTION = 'Look at the cuttings, then at the sensor, its power and the network.';

/** A place of which nothing is received any more. */
export const noData = {
  id: 'no-data',
  name: 'no readings',
  priority: 'high',
  respondWithinMin: 60,
  group: 'silence',
  cause: 'Usually power, battery or network.',
  consequence: 'This place is not being monitored.',
  action: ACTION,
  clause: { is: 'no readings', was: 'data gap (ended)' },
  words: wordsOf('no-data', words),
} as const satisfies RuleDefinition;

function words({ placeName, facts, isOver, returnedAtMs, reader }: Subject<NoDataFacts>): AlarmWords {
  const last = Math.max(...facts.silent.map((probe) => probe.lastMs));
  if (isOver)
    return onlyHeadline(`${placeName}: readings resumed at ${clock(returnedAtMs ?? reader.nowMs, reader)}.`);
  // of single probes in records from before they had an alarm of their own
  const which = facts.wholePlace ? '' : ` from ${facts.silent.map(({ probe }) => probe).join(', ')}`;
  return {
    headline: `${placeName}: no readings${which} since ${clock(last, reader)}.`,
    detail: `No readings for ${duration(reader.nowMs - last)}; ${facts.wholePlace ? 'this place' : 'what these probes measure'} is not being monitored. Usually power, battery or network.`,
    action: ACTION,
  };
}
