import { expect, test } from 'vitest';
import type { Escalation, Person } from '../../../../shared/model/people/people.ts';
import type { DeliveryView, TestView } from '../../../../shared/wire/people.ts';
import {
  checkAgainMs,
  contactMethodName,
  deliveryWords,
  escalationLines,
  moved,
  priorityLines,
  quietWords,
  testWords,
  unreachable,
  weeklyLines,
} from '../../../../web/people/people.ts';

const mail = { id: 1, kind: 'mail', address: 'robin@bench.example' } as const;
const person = (id: number, name: string, methods: Person['ways'] = [{ ...mail, id }]): Person => ({
  id,
  name,
  quiet: null,
  ways: methods,
});
const escalation: Escalation = {
  steps: [
    { personId: 1, afterMin: 5 },
    { personId: 2, afterMin: 15 },
    { personId: 3, afterMin: 20 },
  ],
  repeatMin: 5,
  morningAt: '07:00',
};

test('the escalation is written in plain words, the first at once whatever its minutes, without who cannot be reached', () => {
  const people = [person(1, 'Robin', []), person(2, 'Sam'), person(3, 'Kim')];
  expect(escalationLines(escalation, people)).toEqual([
    'Sam is notified at once.',
    'Kim is notified after 20 min, if nobody has acknowledged by then.',
  ]);
  expect(unreachable(people)).toEqual(['Robin']);
  expect(escalationLines(escalation, [])).toEqual(['Nobody is called: add a person and a contact method.']);
  expect(priorityLines(escalation)[0]).toContain('again every 5 min until somebody acknowledges');
});

test('the third moved earlier changes places with the second, and the minutes stay with the rungs', () => {
  expect(moved(escalation, { from: 2, by: -1 }).steps).toEqual([
    { personId: 1, afterMin: 5 },
    { personId: 3, afterMin: 15 },
    { personId: 2, afterMin: 20 },
  ]);
});

test('ways and quiet hours have names', () => {
  expect(contactMethodName(mail)).toBe('e-mail to robin@bench.example');
  expect(quietWords({ from: '22:00', to: '06:30' })).toBe('quiet from 22:00 to 06:30');
  expect(quietWords(null)).toBe('no quiet hours');
});

const message: DeliveryView = {
  id: 1,
  to: 'Robin, e-mail',
  type: 'alarm.raised',
  state: 'failed',
  attempts: 2,
  at: '2026-06-01T10:00:00Z',
  sentAt: null,
  nextAt: '2026-06-01T10:00:20Z',
  error: 'the mail server: down',
};
const reader = { unit: 'C', timeZone: 'UTC', nowMs: Date.parse('2026-06-01T10:00:10Z') } as const;

test.each<[Partial<DeliveryView>, string]>([
  [{}, 'Robin, e-mail: raised, not delivered yet, tried 2 times: the mail server: down; again 10:00'],
  [{ state: 'waiting', attempts: 0, error: null }, 'Robin, e-mail: raised, waiting to be sent'],
  [{ state: 'sent', error: null, sentAt: '2026-06-01T10:00:00Z' }, 'Robin, e-mail: raised, sent 10:00'],
  [
    { state: 'given-up', type: 'alarm.repeated' },
    'Robin, e-mail: sent again, failed, no more retries: the mail server: down',
  ],
])('a message that is %o is shown as "%s"', (change, words) => {
  expect(deliveryWords({ ...message, ...change }, reader)).toBe(words);
});

const sent: TestView = {
  id: 1,
  personId: 1,
  wayId: 1,
  cause: 'weekly',
  error: null,
  givenUp: false,
  at: '2026-06-01T08:00:00Z',
  confirmBy: '2026-06-02T08:00:00Z',
  takenAt: null,
  confirmedAt: null,
};
const takenAt = '2026-06-01T08:00:02Z';
const nextDay = { ...reader, nowMs: Date.parse('2026-06-02T08:00:00Z') };

test.each<[Partial<TestView>, string, boolean]>([
  [{}, 'Weekly test 08:00: on its way', false],
  [{ takenAt }, 'Weekly test 08:00: delivered 08:00, not yet confirmed', false],
  [{ takenAt, confirmedAt: '2026-06-01T08:03:30Z' }, 'Weekly test 08:00: confirmed after 3 min', false],
  [{ error: 'down' }, 'Weekly test 08:00: not delivered yet: down; trying again', true],
  [
    { error: 'down', givenUp: true, cause: 'asked' },
    'Test 08:00: not delivered, no more retries: down',
    true,
  ],
])('a test with %j says "%s"', (over, words, bad) => {
  expect(testWords({ ...sent, ...over }, reader)).toEqual({ words, bad });
});

test('a weekly test that was delivered and not confirmed in its 24 h is bad; one somebody asked for is not', () => {
  const late = testWords({ ...sent, takenAt }, nextDay);
  expect(late).toMatchObject({ bad: true, words: expect.stringContaining('delivered, not confirmed by') });
  expect(testWords({ ...sent, takenAt, cause: 'asked' }, nextDay).bad).toBe(false);
});

test('the page looks again after 1.5 s while a test is on its way, 10 s while one waits, and then no more', () => {
  const { nowMs } = reader;
  expect(checkAgainMs([sent], nowMs)).toBe(1_500);
  expect(checkAgainMs([{ ...sent, takenAt }], nowMs)).toBe(10_000);
  expect(checkAgainMs([{ ...sent, takenAt, confirmedAt: takenAt }], nowMs)).toBeNull();
  expect(checkAgainMs([{ ...sent, takenAt }], nextDay.nowMs)).toBeNull();
});

test('the weekly test is shown with day, hour, zone and next date; off, with what that means', () => {
  const weekly = { on: true, weekday: 7, at: '09:30', confirmWithinH: 24, nextAt: '2026-06-07T09:30:00Z' };
  const [when, within] = weeklyLines(weekly, reader);
  expect(when).toMatch(/^Every Sunday at 09:30 \(UTC\) everybody gets a test .* Next Sun 09:30\.$/);
  expect(within).toContain('After 24 h');
  expect(weeklyLines({ ...weekly, on: false, nextAt: null }, reader)).toEqual([
    'No weekly test: nobody would notice a contact method that has stopped working.',
  ]);
});
