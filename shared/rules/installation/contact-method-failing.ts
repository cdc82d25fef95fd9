import { asSentence, clock } from '../../words/plain.ts';
import type { ContactMethodFailingFacts } from '../facts.ts';
import { type AlarmWords, onlyHeadline, type RuleDefinition, type Subject, wordsOf } from '../rule.ts';

const CONSEQUENCE = 'Somebody will not be woken.';
const ACTION = 'Send a test message from the People page, and fix or change that contact method.';

/** Contact methods by which messages do not get through. */
export const contactMethodFailing = {
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
} as const satisfies RuleDefinition;

function words({ placeName, facts, isOver, reader }: Subject<ContactMethodFailingFacts>): AlarmWords {
  const { ways: methods } = facts;
  const names = methods.map(({ way: method }) => method).join(', ');
  const one = methods.length === 1;
  if (isOver) return onlyHeadline(`${placeName}: ${names} ${one ? 'is' : 'are'} working again.`);
  const said = methods.map(({ way: method, error, sinceMs }) => {
    const since = `since ${clock(sinceMs, reader)}: ${error}`;
    return asSentence(one ? since : `${method} ${since}`);
  });
  return {
    headline: `${placeName}: ${names} ${one ? 'is' : 'are'} failing.`,
    detail: `${said.join('; ')}. ${CONSEQUENCE}`,
    action: ACTION,
  };
}
