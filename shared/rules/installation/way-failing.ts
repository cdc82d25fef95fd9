import { clock } from '../../words/plain.ts';
import type { WayFailingFacts } from '../facts.ts';
import { type AlarmWords, onlyHeadline, type RuleSheet, type Subject, wordsOf } from '../rule.ts';

const CONSEQUENCE = 'Somebody will not be woken.';
const ACTION = 'Send a test message from the page People, and fix or change that contact method.';

/** Contact methods by which messages do not get through. */
export const wayFailing = {
  id: 'way-failing',
  name: 'messages are not getting through',
  priority: 'medium',
  respondWithinMin: 240,
  group: null,
  // the methods that fail cannot carry it, and it must not wait for a digest
  alone: true,
  cause: 'Usually the network, or an account that no longer accepts messages.',
  consequence: CONSEQUENCE,
  action: ACTION,
  clause: { is: 'messages not getting through', was: 'messages did not get through' },
  words: wordsOf('way-failing', words),
} as const satisfies RuleSheet;

function words({ placeName, facts, isOver, reader }: Subject<WayFailingFacts>): AlarmWords {
  const { ways } = facts;
  const names = ways.map(({ way }) => way).join(', ');
  const one = ways.length === 1;
  if (isOver) return onlyHeadline(`${placeName}: ${names} ${one ? 'is' : 'are'} working again.`);
  const said = ways.map(({ way, error, sinceMs }) => `${way} since ${clock(sinceMs, reader)}: ${error}`);
  return {
    headline: `${placeName}: ${names} ${one ? 'is' : 'are'} failing.`,
    detail: `${said.join('; ')}. ${CONSEQUENCE}`,
    action: ACTION,
  };
}
