import { clock } from '../../words/plain.ts';
import type { TestUnconfirmedFacts } from '../facts.ts';
import { type AlarmWords, onlyHeadline, type RuleDefinition, type Subject, wordsOf } from '../rule.ts';

const CAUSE = 'Usually a muted phone, a spam folder, or a contact method nobody checks any more.';
const CONSEQUENCE = 'An alarm sent that way may not reach anybody.';
const ACTION =
  'Ask whether the test arrived; then test again from the People page, and fix or change that contact method.';

/** A weekly test that somebody did not confirm. */
export const testUnconfirmed = {
  id: 'test-unconfirmed',
  name: 'the weekly test was not confirmed',
  priority: 'low',
  respondWithinMin: 1440,
  group: null,
  cause: CAUSE,
  consequence: CONSEQUENCE,
  action: ACTION,
  clause: { is: 'weekly test not confirmed', was: 'weekly test was not confirmed' },
  words: wordsOf('test-unconfirmed', words),
} as const satisfies RuleDefinition;

function words({ placeName, facts, isOver, reader }: Subject<TestUnconfirmedFacts>): AlarmWords {
  if (isOver) return onlyHeadline(`${placeName}: the weekly test is confirmed.`);
  const { tests } = facts;
  const said = tests.map(({ who, putMs, error }) => {
    const what = error === null ? 'delivered, not confirmed' : `not delivered: ${error}`;
    return `${bracketed(who)}: sent at ${clock(putMs, reader)}, ${what}`;
  });
  return {
    headline: `${placeName}: the weekly test was not confirmed by ${tests.map(({ who }) => bracketed(who)).join(' and ')}.`,
    detail: `${said.join('; ')}. ${CAUSE} ${CONSEQUENCE}`,
    action: ACTION,
  };
}

/** "Robin, e-mail" as "Robin (e-mail)". */
function bracketed(who: string): string {
  return who.replace(/, ([^,]*)$/, ' ($1)');
}
