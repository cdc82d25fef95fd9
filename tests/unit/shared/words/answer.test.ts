import { describe, expect, test } from 'vitest';
import type { Alarm } from '../../../../shared/model/alarms/alarm.ts';
import { notAcknowledgedWords } from '../../../../shared/words/acknowledge.ts';
import { type CalledPerson, calledLine, hourWords, stateLine } from '../../../../shared/words/answer.ts';
import { heldWords, nobodyWords, stakeWords } from '../../../../shared/words/calls.ts';

const at = (time: string) => Date.parse(`2026-06-01T${time}Z`);
const READER = { unit: 'C', timeZone: 'UTC', nowMs: at('10:12') } as const;

const ROBIN: CalledPerson = {
  name: 'Robin',
  you: false,
  calledMs: [at('10:01')],
  by: ['e-mail'],
  failed: null,
  acknowledgedMs: null,
  nextMs: null,
};
const line = (given: Partial<CalledPerson>) => calledLine({ ...ROBIN, ...given }, READER);

describe('who was called', () => {
  test.each([
    [{}, 'Robin was called at 10:01 by e-mail.'],
    [{ you: true }, 'Robin (you) was called at 10:01 by e-mail.'],
    [
      { calledMs: [at('10:01'), at('10:06'), at('10:11')], by: ['e-mail', 'notification'] },
      'Robin was called 3 times, first at 10:01, last at 10:11 by e-mail and notification.',
    ],
    [{ acknowledgedMs: at('10:08') }, 'Robin was called at 10:01 by e-mail, and acknowledged it at 10:08.'],
    [{ calledMs: [], acknowledgedMs: at('10:08') }, 'Robin acknowledged it at 10:08.'],
    [
      { failed: 'the mail server: down' },
      'Robin was called at 10:01 by e-mail; the last message did not get through: the mail server: down.',
    ],
    [
      { calledMs: [], nextMs: at('10:21') },
      'Robin will be called at 10:21, unless somebody acknowledges first.',
    ],
    [{ calledMs: [], nextMs: at('10:12') }, 'Robin will be called now, unless somebody acknowledges first.'],
  ] as const)('%j reads "%s"', (given, words) => {
    expect(line(given)).toBe(words);
  });
});

describe('the state of an alarm', () => {
  const alarm = (given: Partial<Alarm>): Alarm => ({
    id: 'b.air-over-ceiling',
    placeId: 'b',
    placeName: 'Bench 1',
    rule: 'air-over-ceiling',
    priority: 'high',
    state: 'unacknowledged',
    raisedAtMs: at('10:01'),
    facts: null,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    returnedAtMs: null,
    suppression: 'none',
    suppressedReason: null,
    shelvedUntilMs: null,
    shelvedReason: null,
    ...given,
  });
  test.each([
    [{}, 'Unacknowledged', 'high priority, raised at 10:01, 11 min ago'],
    [
      { state: 'acknowledged', acknowledgedBy: 'Sam', acknowledgedAtMs: at('10:08') },
      'Acknowledged',
      'by Sam at 10:08',
    ],
    [{ state: 'acknowledged', acknowledgedAtMs: at('10:08') }, 'Acknowledged', 'at 10:08'],
    [
      { state: 'returned-unacknowledged', returnedAtMs: at('10:10') },
      'Returned to normal, unacknowledged',
      'at 10:10',
    ],
  ] as const)('%j is "%s %s"', (given, state, rest) => {
    expect(stateLine(alarm(given), READER)).toEqual({ state, rest });
  });
});

test('the last hour in words: lowest, highest, now and the limit; without a reading that there is none', () => {
  const hour = {
    name: 'Air temperature',
    unit: '°C',
    decimals: 1,
    from: '2026-06-01T09:12:00Z',
    to: '2026-06-01T10:12:00Z',
    points: [
      { t: '2026-06-01T09:20:00Z', value: -0.4 },
      { t: '2026-06-01T09:40:00Z', value: null },
      { t: '2026-06-01T10:12:00Z', value: 29.9 },
    ],
    limit: { value: 26.7, sense: 'above' },
  } as const;
  expect(hourWords(hour)).toBe(
    'Air temperature in the last hour: from −0.4 °C to 29.9 °C, now 29.9 °C; limit 26.7 °C.',
  );
  expect(hourWords({ ...hour, points: [] })).toBe('No readings in the last hour.');
});

test.each([
  ['quiet-hours', 'Held until 10:30: quiet hours of Robin'],
  ['morning-sheet', 'In the morning sheet at 10:30, to Robin'],
  ['many-alarms', 'Held until 10:30: many alarms at once, in one message to Robin'],
] as const)('a message held back for %s reads "%s"', (why, words) => {
  expect(heldWords({ to: 'Robin', why, untilMs: at('10:30') }, READER)).toBe(words);
});

test('an alarm nobody was notified of says why: nobody is set up, or it is put aside', () => {
  const words = (['none', 'shelved', 'out-of-service', 'by-design'] as const).map((suppression) =>
    nobodyWords({ suppression }),
  );
  expect(words).toEqual([
    'No message sent: nobody is set up under People.',
    'No message sent: the alarm is shelved.',
    'No message sent: the alarm is out of service.',
    'No message of its own was sent.',
  ]);
});

test.each([
  [{ why: 'minutes-left', minutes: 59 }, 'under an hour is left before the batch is damaged'],
  [{ why: 'minutes-left', minutes: 0 }, 'cuttings without roots are expected to be damaged by now'],
  [{ why: 'half-harm', harm: 0.5 }, 'half of the harm that damages a batch is done'],
  [{ why: 'night', days: 0.25 }, 'the night would cost a quarter of a day of rooting'],
  [{ why: 'night', days: 0.49 }, 'the night would cost a quarter of a day of rooting'],
  [{ why: 'night', days: 0.5 }, 'the night would cost half a day of rooting'],
  [{ why: 'night', days: 0.8 }, 'the night would cost three quarters of a day of rooting'],
  [{ why: 'night', days: 3 }, 'the night would cost a whole day of rooting'],
] as const)('what is at stake, %j, reads "%s"', (stake, words) => {
  expect(stakeWords(stake)).toBe(words);
});

test('an acknowledgement that did not get through says why, in one sentence and what to do', () => {
  expect(notAcknowledgedWords('The daemon cannot be reached.')).toBe(
    'Not acknowledged: the daemon cannot be reached. Try again.',
  );
});
