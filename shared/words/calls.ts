import type { Stake } from '../harm/priority.ts';
import type { Alarm, AlarmTransition } from '../model/alarms/alarm.ts';
import { RULES } from '../rules/rules.ts';
import type { HeldReason } from '../wire/people.ts';
import { type AlarmWords, alarmWords, subjectOf } from './alarm.ts';
import { takenWords } from './people.ts';
import { asSentence, clock, duration, type Reader } from './plain.ts';

/** Why an alarm asks again that asked before. */
export const ASKS_AGAIN = ['re-alarmed', 'unshelved', 'unsuppressed', 'in-service'] as const;
export type AsksAgain = (typeof ASKS_AGAIN)[number] & AlarmTransition;

/** What is new in a message to somebody about an alarm. */
type CallNews = {
  /** the alarm of its group that says more than the one the first message was about */
  readonly worse: Alarm | null;
  /** why harm has raised its priority */
  readonly stake: Stake | null;
  /** it is sent again: since when nobody has acknowledged, ms since epoch */
  readonly unansweredSinceMs: number | null;
  /** it asks again somebody who was called about it before */
  readonly again: AsksAgain | null;
  /** who was notified before, and has not acknowledged */
  readonly before: readonly string[];
};

export type CallText = { readonly subject: string; readonly message: string; readonly words: AlarmWords };

/** What a message says that asks somebody to look: what is new first, then what, how far, what to do. */
export function callText(alarm: Alarm, news: CallNews, reader: Reader): CallText {
  const words = newsWords(alarm, news, reader);
  const why = againWords(news, reader);
  const before =
    news.before.length > 0 ? `Notified before: ${news.before.join(', ')}; not acknowledged yet.` : '';
  const said = [words.headline, why, words.detail, words.action, before];
  return {
    subject: [words.headline, news.worse ? '' : why].filter(Boolean).join(' '),
    message: said.filter(Boolean).join(' '),
    words,
  };
}

/** What a message says that only informs: of a return, or that somebody else has acknowledged. */
export function noticeText(alarm: Alarm, why: 'acknowledged' | 'returned', reader: Reader): CallText {
  const words = alarmWords(alarm, reader);
  const { headline, detail, action } = words;
  if (why === 'returned')
    return { subject: headline, message: [headline, detail, action].filter(Boolean).join(' '), words };
  const acknowledgement = takenWords(alarm, reader);
  return {
    subject: `${acknowledgement}. ${headline}`,
    message: `${acknowledgement}. ${headline} Nobody else is called about it now.`,
    words,
  };
}

function newsWords(alarm: Alarm, { worse, stake }: CallNews, reader: Reader): AlarmWords {
  const words = (worse && worseWords(worse, reader)) ?? alarmWords(alarm, reader);
  if (stake === null) return words;
  const name = `${alarm.placeName}: `;
  const rest = words.headline.startsWith(name) ? words.headline.slice(name.length) : words.headline;
  return { ...words, headline: `${name}urgent now, ${stakeWords(stake)}. ${asSentence(rest)}` };
}

function worseWords(alarm: Alarm, reader: Reader): AlarmWords | null {
  const subject = subjectOf(alarm, reader);
  return (subject && RULES[alarm.rule].worseWords?.(subject)) ?? null;
}

/** Why harm has raised a priority, as a clause. */
export function stakeWords(stake: Stake): string {
  switch (stake.why) {
    case 'minutes-left':
      return stake.minutes < 1
        ? 'cuttings without roots are expected to be damaged by now'
        : 'under an hour is left before the batch is damaged';
    case 'half-harm':
      return 'half of the harm that damages a batch is done';
    case 'night':
      return `the night would cost ${shareOfDay(stake.days)} of rooting`;
  }
}

const QUARTERS = ['a quarter of a day', 'half a day', 'three quarters of a day', 'a whole day'] as const;

function shareOfDay(days: number): string {
  const quarters = Math.min(Math.max(Math.floor(days * 4), 1), QUARTERS.length);
  return QUARTERS[quarters - 1] ?? QUARTERS[0];
}

const AGAIN_WORDS: Readonly<Record<AsksAgain, string>> = {
  're-alarmed': 'It was acknowledged, and goes on: look again.',
  unshelved: 'It is no longer shelved, and goes on.',
  unsuppressed: 'It is judged by itself again, and goes on.',
  'in-service': 'It is back in service, and goes on.',
};

function againWords({ unansweredSinceMs, again }: CallNews, reader: Reader): string {
  if (again !== null) return AGAIN_WORDS[again];
  if (unansweredSinceMs === null) return '';
  const longMs = reader.nowMs - unansweredSinceMs;
  return longMs < 60_000 ? '' : `Nobody has acknowledged it for ${duration(longMs)}.`;
}

/** A message that is held back: until when, and why, in one line without its full stop. */
export function heldWords(
  { to, why, untilMs }: { readonly to: string; readonly why: HeldReason; readonly untilMs: number },
  reader: Reader,
): string {
  const until = clock(untilMs, reader);
  switch (why) {
    case 'quiet-hours':
      return `Held until ${until}: quiet hours of ${to}`;
    case 'morning-sheet':
      return `In the morning sheet at ${until}, to ${to}`;
    case 'many-alarms':
      return `Held until ${until}: many alarms at once, in one message to ${to}`;
  }
}

/** Why nobody was notified of an alarm, and nobody will be. */
export function nobodyWords({ suppression }: Pick<Alarm, 'suppression'>): string {
  switch (suppression) {
    case 'none':
      return 'No message sent: nobody is set up under People.';
    case 'shelved':
      return 'No message sent: the alarm is shelved.';
    case 'out-of-service':
      return 'No message sent: the alarm is out of service.';
    case 'by-design':
      return 'No message of its own was sent.';
  }
}
