import { expect, test } from 'vitest';
import { answersOf, compiled } from '../../../support/c-program.ts';

const file = compiled({ reference: ['buzzer.c'], support: 'buzz.c' });
const BEAT = 'strikewell/1/watch/heartbeat';
const lastRunning = '{"state":"online","time":"2026-03-04T08:00:00.000Z","intervalS":30}';
const gone = '{"state":"offline"}';
const alarm = (state: string, { priority = 'high', suppression = 'none', words = '' } = {}): string =>
  `{"id":"a","placeName":"${words}","priority":"${priority}","state":"${state}","suppression":"${suppression}"}`;

type TimedMessage = readonly [number] | readonly [number, string] | readonly [number, 0 | 1, string, string];

/** Whether it sounds after each message. */
function sounds(messages: readonly TimedMessage[], fromMs = 0): boolean[] {
  const lines = messages.map((one) => one.join('\t'));
  return answersOf({ file, args: [String(fromMs)], lines }).map((answer) => answer === '1');
}

test('it sounds while a high alarm is unacknowledged, and no longer once it is acknowledged or returned', () => {
  const topic = 'strikewell/1/alarms/bench-1.air-over-ceiling';
  const states = ['normal', 'unacknowledged', 'acknowledged', 'unacknowledged', 'returned-unacknowledged'];
  expect(sounds(states.map((state) => [1000, 0, topic, alarm(state)]))).toEqual([
    false,
    true,
    false,
    true,
    false,
  ]);
});

test('it does not sound for a medium alarm, a shelved one, or one whose place is named after the words it looks for', () => {
  const words = '\\"state\\":\\"unacknowledged\\"';
  expect(
    sounds([
      [1, 1, 'strikewell/1/alarms/a', alarm('unacknowledged', { priority: 'medium' })],
      [1, 1, 'strikewell/1/alarms/a', alarm('unacknowledged', { suppression: 'shelved' })],
      [1, 1, 'strikewell/1/alarms/a', alarm('normal', { words })],
      [1, 1, 'strikewell/1/other/a', alarm('unacknowledged')],
    ]),
  ).toEqual([false, false, false, false]);
});

test('of 2 alarms the second goes on sounding; a topic that is emptied counts as gone', () => {
  expect(
    sounds([
      [1, 1, 'strikewell/1/alarms/a', alarm('unacknowledged')],
      [1, 1, 'strikewell/1/alarms/b', alarm('unacknowledged')],
      [1, 0, 'strikewell/1/alarms/a', alarm('acknowledged')],
      [1, 0, 'strikewell/1/alarms/b', ''],
    ]),
  ).toEqual([true, true, true, false]);
});

test('with 40 active alarms, above the 32 it remembers, it sounds', () => {
  const messages = Array.from(
    { length: 40 },
    (_, at): TimedMessage => [1, 1, `strikewell/1/alarms/${at}`, alarm('unacknowledged')],
  );
  expect(sounds(messages)).toEqual(messages.map(() => true));
});

test('it sounds 90 s after the last live heartbeat, not at 89.999 s, and stops at the next', () => {
  expect(sounds([[1_000, 0, BEAT, lastRunning], [90_999], [91_000], [95_000, 0, BEAT, lastRunning]])).toEqual(
    [false, false, true, false],
  );
});

test('an old heartbeat the broker kept is no sign of life; the Will of the watch sounds at once', () => {
  expect(sounds([[80_000, 1, BEAT, lastRunning], [90_000]])).toEqual([false, true]);
  expect(sounds([[1, 1, BEAT, gone]])).toEqual([true]);
});

test('a counter of ms that wraps after 49.7 days does not disturb the 90 s', () => {
  const nearEnd = 2 ** 32 - 10_000;
  expect(sounds([[nearEnd, 0, BEAT, lastRunning], [79_999], [80_000]], nearEnd)).toEqual([
    false,
    false,
    true,
  ]);
});

test('what was acknowledged while the buzzer was away is forgotten at its new subscription', () => {
  const deviation: TimedMessage = [1, 0, 'strikewell/1/alarms/a', alarm('unacknowledged')];
  expect(
    sounds([deviation, [2, 'subscribing'], [2, 1, 'strikewell/1/alarms/a', alarm('acknowledged')]]),
  ).toEqual([true, false, false]);
});
