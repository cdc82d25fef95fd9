import { expect, test } from 'vitest';
import type { Ladder, Person } from '../../../shared/model/people.ts';
import type { DeliveryView } from '../../../shared/wire/people.ts';
import {
  deliveryWords,
  ladderLines,
  moved,
  priorityLines,
  quietWords,
  unreachable,
  wayName,
} from '../../../web/state/people.ts';

const mail = { id: 1, kind: 'mail', address: 'robin@bench.example' } as const;
const person = (id: number, name: string, ways: Person['ways'] = [{ ...mail, id }]): Person => ({
  ...{ id, name, quiet: null, ways },
});
const ladder: Ladder = {
  steps: [
    { personId: 1, afterMin: 5 },
    { personId: 2, afterMin: 15 },
    { personId: 3, afterMin: 20 },
  ],
  ...{ repeatMin: 5, morningAt: '07:00' },
};

test('the ladder is told in plain words, the first at once whatever its minutes, without who cannot be reached', () => {
  const people = [person(1, 'Robin', []), person(2, 'Sam'), person(3, 'Kim')];
  expect(ladderLines(ladder, people)).toEqual([
    'Sam is told at once.',
    'Kim is told after 20 min, if nobody has acknowledged by then.',
  ]);
  expect(unreachable(people)).toEqual(['Robin']);
  expect(ladderLines(ladder, [])).toEqual(['Nobody is called: add a person and a way to reach them.']);
  expect(priorityLines(ladder)[0]).toContain('again every 5 min until somebody acknowledges');
});

test('the third moved earlier changes places with the second, and the minutes stay with the rungs', () => {
  expect(moved(ladder, { from: 2, by: -1 }).steps).toEqual([
    { personId: 1, afterMin: 5 },
    { personId: 3, afterMin: 15 },
    { personId: 2, afterMin: 20 },
  ]);
});

test('ways and quiet hours have names', () => {
  expect(wayName(mail)).toBe('e-mail to robin@bench.example');
  expect(quietWords({ from: '22:00', to: '06:30' })).toBe('quiet from 22:00 to 06:30');
  expect(quietWords(null)).toBe('no quiet hours');
});

const message: DeliveryView = {
  ...{ id: 1, to: 'Robin, e-mail', type: 'alarm.raised', state: 'failed', attempts: 2 },
  ...{ at: '2026-06-01T10:00:00Z', sentAt: null, nextAt: '2026-06-01T10:00:20Z' },
  error: 'the mail server: down',
};
const reader = { unit: 'C', timeZone: 'UTC', nowMs: Date.parse('2026-06-01T10:00:10Z') } as const;

test.each<[Partial<DeliveryView>, string]>([
  [{}, 'Robin, e-mail: raised, not taken yet, tried 2 times: the mail server: down; again 10:00'],
  [{ state: 'waiting', attempts: 0, error: null }, 'Robin, e-mail: raised, waiting to be sent'],
  [{ state: 'sent', error: null, sentAt: '2026-06-01T10:00:00Z' }, 'Robin, e-mail: raised, sent 10:00'],
  [
    { state: 'given-up', type: 'alarm.repeated' },
    'Robin, e-mail: told again, given up: the mail server: down',
  ],
])('a message that is %o is told as "%s"', (change, words) => {
  expect(deliveryWords({ ...message, ...change }, reader)).toBe(words);
});
