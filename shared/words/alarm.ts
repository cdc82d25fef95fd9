import type { Alarm, AlarmState } from '../model/alarms/alarm.ts';
import { factsFromWire } from '../rules/ceiling-alias.ts';
import { type AlarmWords, onlyHeadline, type Subject } from '../rules/rule.ts';
import { RULES } from '../rules/rules.ts';
import { clock, type Reader } from './plain.ts';

export type { AlarmWords } from '../rules/rule.ts';
export { clock, duration, type Reader } from './plain.ts';

/** The states as people read them. */
export const STATE_WORDS: Readonly<Record<AlarmState, string>> = {
  normal: 'normal',
  unacknowledged: 'unacknowledged',
  acknowledged: 'acknowledged',
  'returned-unacknowledged': 'returned to normal, unacknowledged',
  'latched-unacknowledged': 'returned to normal, latched, unacknowledged',
  'latched-acknowledged': 'returned to normal, latched',
};

/**
 * What an alarm says, the same on the page, in a message and on a topic:
 * what, where, how far, since when, which way, usual cause, what to do first.
 */
export function alarmWords(alarm: Alarm, reader: Reader): AlarmWords {
  const words = factWords(alarm, reader);
  if (!alarm.comesAndGoes) return words;
  const { sinceMs, times } = alarm.comesAndGoes;
  const { name } = RULES[alarm.rule];
  return {
    headline: `${alarm.placeName}: ${name}, ${times} times since ${clock(sinceMs, reader)} (repeating).`,
    detail: [words.headline, words.detail].filter(Boolean).join(' '),
    action: words.action || RULES[alarm.rule].action,
  };
}

function factWords(alarm: Alarm, reader: Reader): AlarmWords {
  const subject = subjectOf(alarm, reader);
  const words = subject && RULES[alarm.rule].words(subject);
  return words ?? onlyHeadline(`${alarm.placeName}: ${STATE_WORDS[alarm.state]}`);
}

/** What the words of an alarm are made from; null where it has said nothing yet. */
export function subjectOf(alarm: Alarm, reader: Reader): Subject | null {
  const { placeName, raisedAtMs, returnedAtMs, notJudged, cause } = alarm;
  const facts = factsFromWire(alarm.facts);
  const isOver = hasReturned(alarm);
  return facts && { placeName, isOver, raisedAtMs, returnedAtMs, notJudged, cause, facts, reader, ruleName };
}

function ruleName(rule: string): string {
  return (RULES as Readonly<Record<string, { readonly name: string }>>)[rule]?.name ?? rule;
}

/** True once an alarm's condition is over. */
function hasReturned({ state }: Pick<Alarm, 'state'>): boolean {
  return state !== 'unacknowledged' && state !== 'acknowledged';
}

/** The words in one line, as a message carries them. */
export function alarmSentence(alarm: Alarm, reader: Reader): string {
  const { headline, detail, action } = alarmWords(alarm, reader);
  return [headline, detail, action].filter(Boolean).join(' ');
}
