import { expect, test } from 'vitest';
import { MAX_SHELVE_MS } from '../../../../shared/model/alarms/alarm.ts';
import {
  activeAlarms,
  isShelved,
  needsHand,
  shelveChoicesMinutes,
  withAnswer,
} from '../../../../web/alarms/alarms.ts';
import { alarmOf, MINUTE_MS, NOW_MS } from '../examples.ts';

test.each(['high', 'medium', 'low'] as const)(
  'the longest shelving on offer for a %s alarm is the longest the daemon allows',
  (priority) => {
    const longestMs = Math.max(...shelveChoicesMinutes(priority)) * MINUTE_MS;
    expect(longestMs).toBe(MAX_SHELVE_MS[priority]);
  },
);

test('an alarm shelved until 1 minute ago is shelved no more and needs a hand again', () => {
  const alarm = alarmOf('sill', { shelvedUntilMs: NOW_MS - MINUTE_MS });
  expect(isShelved(alarm, NOW_MS)).toBe(false);
  expect(needsHand(alarm, NOW_MS)).toBe(true);
});

test('a shelved, an acknowledged and a returned alarm need no hand now', () => {
  const alarms = [
    alarmOf('a', { shelvedUntilMs: NOW_MS + MINUTE_MS }),
    alarmOf('b', { state: 'acknowledged' }),
    alarmOf('c', { state: 'returned-unacknowledged' }),
  ];
  expect(alarms.map((alarm) => needsHand(alarm, NOW_MS))).toEqual([false, false, false]);
});

test('of 6 alarms the 5 active ones are listed: unacknowledged high, medium, returned, acknowledged, shelved', () => {
  const alarms = [
    alarmOf('normal', { state: 'normal' }),
    alarmOf('acknowledged', { state: 'acknowledged' }),
    alarmOf('shelved', { shelvedUntilMs: NOW_MS + MINUTE_MS }),
    alarmOf('medium', { priority: 'medium' }),
    alarmOf('returned', { state: 'returned-unacknowledged' }),
    alarmOf('high'),
  ];
  expect(activeAlarms(alarms, NOW_MS).map(({ placeId }) => placeId)).toEqual([
    'high',
    'medium',
    'returned',
    'acknowledged',
    'shelved',
  ]);
});

test('an answer to an acknowledgement is shown at once beside newer facts; one about an earlier raising changes nothing', () => {
  const answered = alarmOf('sill', {
    state: 'acknowledged',
    acknowledgedAtMs: NOW_MS,
    acknowledgedBy: 'Robin',
    facts: null,
  });
  const shown = alarmOf('sill');
  const known = (alarm: typeof shown) => ({ places: [], alarms: [alarm, alarmOf('other')], house: null });
  const [sill, other] = withAnswer(known(shown), answered).alarms;
  expect(sill).toEqual({
    ...shown,
    state: 'acknowledged',
    acknowledgedAtMs: NOW_MS,
    acknowledgedBy: 'Robin',
  });
  expect(other?.state).toBe('unacknowledged');
  const again = alarmOf('sill', { raisedAtMs: NOW_MS - MINUTE_MS });
  expect(withAnswer(known(again), answered).alarms[0]).toEqual(again);
  // the feed was first, and Sam was
  const bySam = { ...shown, state: 'acknowledged', acknowledgedBy: 'Sam' } as const;
  expect(withAnswer(known(bySam), answered).alarms[0]).toEqual(bySam);
});
