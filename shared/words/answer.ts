import type { Alarm } from '../model/alarms/alarm.ts';
import type { LastHour } from '../wire/answer.ts';
import { STATE_WORDS } from './alarm.ts';
import { asSentence, clock, duration, type Reader } from './plain.ts';

/** Headings of the page behind the link of a message. */
export const ANSWER_PAGE_WORDS = {
  first: 'Do first',
  hour: 'The last hour',
  people: 'Who was called',
  table: 'The same as a table',
  time: 'time',
  noReadings: 'no readings',
  noHour: 'No readings in the last hour.',
  again: 'Look again',
} as const;

/** The state of an alarm, in a word or two, and what else there is to say of it. */
export function stateLine(alarm: Alarm, reader: Reader): { readonly state: string; readonly rest: string } {
  const { priority, raisedAtMs, acknowledgedAtMs, acknowledgedBy, returnedAtMs } = alarm;
  const state = asSentence(STATE_WORDS[alarm.state]);
  if (alarm.state === 'acknowledged') {
    const by = acknowledgedBy === null ? '' : `by ${acknowledgedBy} `;
    return {
      state,
      rest: acknowledgedAtMs === null ? by.trim() : `${by}at ${clock(acknowledgedAtMs, reader)}`,
    };
  }
  if (alarm.state !== 'unacknowledged')
    return { state, rest: returnedAtMs === null ? '' : `at ${clock(returnedAtMs, reader)}` };
  const since = raisedAtMs === null ? '' : `, raised at ${clock(raisedAtMs, reader)}`;
  const long = raisedAtMs === null ? '' : `, ${duration(reader.nowMs - raisedAtMs)} ago`;
  return { state, rest: `${priority} priority${since}${long}` };
}

/** How somebody was called about an alarm. */
export type CalledPerson = {
  readonly name: string;
  /** whether the page is theirs */
  readonly you: boolean;
  /** when they were called, ms since epoch, ascending; none: not yet */
  readonly calledMs: readonly number[];
  /** by which contact methods, in words */
  readonly by: readonly string[];
  /** why the last message did not get through, or null */
  readonly failed: string | null;
  readonly acknowledgedMs: number | null;
  /** when they are called next, unless somebody acknowledges, ms since epoch; null: not */
  readonly nextMs: number | null;
};

/** Whether and when somebody was called, and whether they answered, in one line. */
export function calledLine(person: CalledPerson, reader: Reader): string {
  const { you, calledMs, by, failed, acknowledgedMs, nextMs } = person;
  const name = you ? `${person.name} (you)` : person.name;
  const [firstMs] = calledMs;
  const lastMs = calledMs.at(-1);
  const answer = acknowledgedMs === null ? null : `acknowledged it at ${clock(acknowledgedMs, reader)}`;
  if (firstMs === undefined || lastMs === undefined) {
    if (answer) return `${name} ${answer}.`;
    if (nextMs === null) return `${name} was not called.`;
    const when = nextMs <= reader.nowMs ? 'now' : `at ${clock(nextMs, reader)}`;
    return `${name} will be called ${when}, unless somebody acknowledges first.`;
  }
  const times =
    calledMs.length === 1
      ? `called at ${clock(firstMs, reader)}`
      : `called ${calledMs.length} times, first at ${clock(firstMs, reader)}, last at ${clock(lastMs, reader)}`;
  const how = by.length === 0 ? '' : ` by ${by.join(' and ')}`;
  const reached = failed === null ? '' : `; the last message did not get through: ${failed}`;
  return `${name} was ${times}${how}${reached}${answer ? `, and ${answer}` : ''}.`;
}

/** What a chart of the last hour shows, for those who do not see it. */
export function hourWords({ name, unit, decimals, points, limit }: LastHour): string {
  const values = points.flatMap(({ value }) => (value === null ? [] : [value]));
  const last = values.at(-1);
  if (last === undefined) return ANSWER_PAGE_WORDS.noHour;
  const text = (value: number) => valueText(value, { unit, decimals });
  const from = `from ${text(Math.min(...values))} to ${text(Math.max(...values))}, now ${text(last)}`;
  return `${name} in the last hour: ${from}${limit === null ? '' : `; limit ${text(limit.value)}`}.`;
}

/** A value with its unit. */
export function valueText(value: number, { unit, decimals }: Pick<LastHour, 'unit' | 'decimals'>): string {
  return `${value.toFixed(decimals).replace('-', '−')} ${unit}`.trim();
}
