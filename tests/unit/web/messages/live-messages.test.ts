import { expect, test } from 'vitest';
import type { ReceivedMessage, WatchAnswer } from '../../../../shared/wire/probes/foreign-messages.ts';
import {
  countWords,
  devicesOf,
  NOTHING_SHOWN,
  ofDevice,
  outcomeWords,
  payloadText,
  withMessages,
} from '../../../../web/messages/live-messages.ts';

const message = (id: number, verdict: Partial<ReceivedMessage['verdict']> = {}): ReceivedMessage => ({
  id,
  topic: 't',
  at: '2026-06-01T10:00:00.000Z',
  bytes: 2,
  retained: false,
  start: '[]',
  whole: true,
  verdict: { outcome: 'stored', device: 'bench-1', code: null, pointer: null, lines: [], ...verdict },
});
const answer = (ids: readonly number[], gap = false): WatchAnswer => ({
  until: null,
  last: ids.at(-1) ?? 0,
  gap,
  messages: ids.map((id) => message(id)),
});

test('2 answers that overlap by 1 are shown once, newest first; that some are missing stays said', () => {
  const first = withMessages(NOTHING_SHOWN, answer([1, 2], true));
  const { messages, last, gap } = withMessages(first, answer([2, 3]));
  expect([messages.map(({ id }) => id), last, gap]).toEqual([[3, 2, 1], 3, true]);
});

test('of 250 messages the newest 200 are shown', () => {
  const ids = Array.from({ length: 250 }, (_, index) => index + 1);
  const { messages } = withMessages(NOTHING_SHOWN, answer(ids));
  expect([messages.length, messages[0]?.id, messages.at(-1)?.id]).toEqual([200, 250, 51]);
});

test('devices are listed once, by number where they have one; those without a device belong to none', () => {
  const messages = [message(1), message(2, { device: 'bench-10' }), message(3, { device: 'bench-2' })];
  const all = [...messages, message(4, { device: null }), message(5)];
  expect(devicesOf(all)).toEqual(['bench-1', 'bench-2', 'bench-10']);
  expect(ofDevice(all, 'bench-1').map(({ id }) => id)).toEqual([1, 5]);
  expect(ofDevice(all, '')).toHaveLength(5);
});

test('what became of messages is said in words', () => {
  const refused = message(2, { outcome: 'refused', code: 'not-json' });
  expect(outcomeWords(refused.verdict)).toBe('rejected: not-json');
  expect(outcomeWords(message(1).verdict)).toBe('stored');
  expect(outcomeWords(message(1, { outcome: 'unkept' }).verdict)).toBe('not kept');
  expect(countWords([message(1)])).toBe('1 message, none rejected');
  expect(countWords([refused])).toBe('1 message, rejected');
  expect(countWords([message(1), refused, message(3)])).toBe('3 messages, 1 of them rejected');
  expect(payloadText({ start: '', whole: true })).toBe('(nothing)');
  expect(payloadText({ start: '[1', whole: false })).toBe('[1 …');
});
