import { describe, expect, it } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { waitOf } from '../../../../../server/domain/access/throttle.ts';
import { isChatterOver } from '../../../../../server/domain/alarms/nuisance/chatter.ts';
import { isShelved, newAlarm, withReAlarm } from '../../../../../server/domain/alarms/record.ts';
import { clockLine } from '../../../../../server/domain/doctor/clock.ts';
import { NOT_CALLED } from '../../../../../server/domain/people/escalation.ts';
import { morningSheetDayDue } from '../../../../../server/domain/people/quiet.ts';
import { decodeBlock, encodeBlock } from '../../../../../server/domain/seal/block.ts';
import { decodeGroup, encodeGroup } from '../../../../../server/domain/seal/group.ts';
import { databaseFile } from '../../support/house.ts';

const DAY_MS = 86_400_000;
const NOW_MS = Date.UTC(2026, 5, 1, 10);
const YEAR_AHEAD_MS = NOW_MS + 365 * DAY_MS;
const alarm = newAlarm({ placeId: 'bench-1', rule: 'air-over-ceiling' });

describe('a moment noted by a clock that was a year ahead holds nothing up', () => {
  it('a shelving for longer than anybody can shelve is over', () => {
    const shelved = { untilMs: YEAR_AHEAD_MS, reason: 'moved', by: null };
    expect(isShelved({ ...alarm, shelved }, { nowMs: NOW_MS })).toBe(false);
    expect(
      isShelved({ ...alarm, shelved: { ...shelved, untilMs: NOW_MS + 60_000 } }, { nowMs: NOW_MS }),
    ).toBe(true);
  });

  it('an alarm that was acknowledged in the future asks again', () => {
    const seen = { ...alarm, state: 'acknowledged', acknowledgedAtMs: YEAR_AHEAD_MS } as const;
    expect(withReAlarm(seen, { nowMs: NOW_MS }).transition).toBe('re-alarmed');
  });

  it('an alarm that repeats is announced like any other again', () => {
    const held = { sinceMs: NOW_MS, announcedMs: NOW_MS, times: 3, acknowledgedAtMs: null };
    const chatter = { raisedMs: [], lastMs: YEAR_AHEAD_MS, held };
    expect(isChatterOver({ ...alarm, chatter }, { nowMs: NOW_MS })).toBe(true);
  });

  it('the morning sheet of today is due', () => {
    const asked = { morningAt: '07:00', nowMs: NOW_MS, zone: 'UTC' };
    expect(morningSheetDayDue({ ...asked, lastDay: '2027-06-01' })).toBe('2026-06-01');
    expect(morningSheetDayDue({ ...asked, lastDay: '2026-06-01' })).toBeNull();
  });

  it('a wrong password makes nobody wait for longer than 5 min', () => {
    expect(waitOf({ failures: 20, lastMs: YEAR_AHEAD_MS }, NOW_MS)).toBe(5 * 60_000);
  });

  it('a calling and a message to be sent in a year are due, those of tonight are not', () => {
    const store = openStore({ file: databaseFile(), nowMs: NOW_MS });
    const house = newAlarm({ placeId: null, rule: 'watch-was-down' });
    store.alarms.save(house);
    const put = (key: string, notBeforeMs: number) =>
      store.outbox.put({
        key,
        wayId: 0,
        alarmId: null,
        recipient: '',
        kind: 'test',
        body: '{}',
        createdMs: NOW_MS,
        notBeforeMs,
      });
    store.transaction(() => {
      store.people.saveCalling(house.id, NOT_CALLED, YEAR_AHEAD_MS);
      put('far', YEAR_AHEAD_MS);
      put('tonight', NOW_MS + 12 * 3_600_000);
    });
    expect(store.people.dueCallings(NOW_MS)).toEqual([house.id]);
    expect(store.outbox.due({ nowMs: NOW_MS, limit: 9 }).map(({ key }) => key)).toEqual(['far']);
    expect(store.outbox.dueContactMethods(NOW_MS)).toEqual([0]);
    store.transaction(() => store.people.saveCalling(house.id, NOT_CALLED, NOW_MS + 12 * 3_600_000));
    expect(store.people.dueCallings(NOW_MS)).toEqual([]);
    store.close();
  });
});

it.each([
  '2038-01-19T03:14:07.999Z',
  '2038-01-19T03:14:08.000Z',
  '2106-02-07T06:28:16.001Z',
  '2262-04-11T23:47:17Z',
])('a reading at %s is packed and read as it was', (at) => {
  const tMs = Date.parse(at);
  const group = [{ probeId: 1, tMs, value: 21.5 }];
  expect(decodeGroup(encodeGroup(group))).toEqual(group);
  const record = { timesMs: Float64Array.of(tMs - 10_000, tMs), values: Float64Array.of(21, 21.5) };
  expect(decodeBlock(encodeBlock(record))).toEqual(record);
});

it('doctor says how many readings are in the future, and that the clock is behind the last run', () => {
  const facts = {
    future: { newestMs: YEAR_AHEAD_MS, readings: 3 },
    lastRunningMs: YEAR_AHEAD_MS,
    newestJump: null,
    setAside: 0,
  };
  expect(clockLine(facts, NOW_MS)).toEqual({
    of: 'clock',
    found:
      '2026-06-01T10:00:00Z; 3 readings are in the future, the latest at 2027-06-01T10:00:00Z; behind 2027-06-01T10:00:00Z, when Strikewell ran last',
    remedy: expect.stringContaining('time synchronisation'),
  });
  const well = { future: null, lastRunningMs: NOW_MS, newestJump: null, setAside: 6 };
  expect(clockLine(well, NOW_MS)).toMatchObject({
    found: '2026-06-01T10:00:00Z; 6 readings set aside: their times came from a wrong clock',
    remedy: null,
  });
});
