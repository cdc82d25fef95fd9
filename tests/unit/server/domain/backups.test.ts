import { describe, expect, test } from 'vitest';
import {
  backupName,
  backupTimeMs,
  partialName,
  partialOf,
  stampOf,
} from '../../../../server/domain/backups/name.ts';
import { backupsToDrop } from '../../../../server/domain/backups/rotation.ts';
import { dayNumber, isBackupDue } from '../../../../server/domain/backups/schedule.ts';

const DAY_MS = 86_400_000;

describe('names of backups', () => {
  test('25 November 2026, 03:30:07.9 UTC is named to the second, and read back', () => {
    const atMs = Date.UTC(2026, 10, 25, 3, 30, 7, 900);
    expect(stampOf(atMs)).toBe('20261125T033007Z');
    expect(backupName(atMs)).toBe('strikewell-20261125T033007Z.db');
    expect(backupTimeMs('strikewell-20261125T033007Z.db')).toBe(Date.UTC(2026, 10, 25, 3, 30, 7));
  });

  test.each([
    'strikewell.db',
    'strikewell-20261125T033007Z.db.77.partial',
    'strikewell-20261325T033007Z.db',
    'strikewell-20260230T033007Z.db',
    'strikewell-20261125T033007Z.db-wal',
  ])('%s is no finished backup', (name) => {
    expect(backupTimeMs(name)).toBeNull();
  });

  test('an unfinished one names process 77 and what it would become', () => {
    const name = backupName(0);
    expect(partialOf(partialName({ name, pid: 77 }))).toEqual({ name, pid: 77 });
    expect(partialOf(name)).toBeNull();
    expect(partialOf('other.db.77.partial')).toBeNull();
  });
});

const dated = (date: string, hour = 3) => {
  const day = Date.parse(`${date}T00:00:00Z`) / DAY_MS;
  return { date, day, atMs: day * DAY_MS + hour * 3_600_000 };
};
const daysFrom = (date: string, count: number) =>
  Array.from({ length: count }, (_, n) =>
    dated(new Date(Date.parse(date) + n * DAY_MS).toISOString().slice(0, 10)),
  );

describe('rotation', () => {
  test('one a day for 2 years leaves 20 on Thursday 31 December 2026: 7 days, 3 Sundays, 12 ends of months', () => {
    let kept: ReturnType<typeof dated>[] = [];
    for (const backup of daysFrom('2025-01-01', 730)) {
      kept.push(backup);
      const dropped = new Set(backupsToDrop(kept));
      kept = kept.filter((one) => !dropped.has(one));
    }
    // read off a calendar: weeks end on Sunday the 13th, 20th and 27th, the 27th being one of the 7 days
    expect(kept.map(({ date }) => date)).toEqual([
      '2026-01-31',
      '2026-02-28',
      '2026-03-31',
      '2026-04-30',
      '2026-05-31',
      '2026-06-30',
      '2026-07-31',
      '2026-08-31',
      '2026-09-30',
      '2026-10-31',
      '2026-11-30',
      '2026-12-13',
      '2026-12-20',
      '2026-12-25',
      '2026-12-26',
      '2026-12-27',
      '2026-12-28',
      '2026-12-29',
      '2026-12-30',
      '2026-12-31',
    ]);
  });

  test('of 3 on one day the newest stays, in whatever order they are given', () => {
    const [early, noon, late] = [dated('2026-06-01', 3), dated('2026-06-01', 12), dated('2026-06-01', 22)];
    expect(backupsToDrop([noon, late, early])).toEqual([noon, early]);
  });

  test('7 days with a backup are kept though a month lies between them', () => {
    const few = daysFrom('2026-05-01', 4).concat(daysFrom('2026-06-10', 3));
    expect(backupsToDrop(few)).toEqual([]);
  });

  test('of nothing, nothing is dropped, and a single one 10 years old stays', () => {
    expect(backupsToDrop([])).toEqual([]);
    expect(backupsToDrop([dated('2016-06-01')])).toEqual([]);
  });
});

// European Union: the clock changes at 01:00 UTC on the last Sundays of March and October (IANA tz database).
describe('the schedule', () => {
  test.each([
    ['a summer morning', '03:30', '2026-06-02T08:00Z', '2026-06-02T01:30Z'],
    ['just before the time', '03:30', '2026-06-02T01:29Z', '2026-06-01T01:30Z'],
    ['the instant itself', '03:30', '2026-06-02T01:30Z', '2026-06-02T01:30Z'],
    ['a winter morning', '03:30', '2026-01-02T08:00Z', '2026-01-02T02:30Z'],
    [
      '02:30 skipped on 29 March: an hour later by the clock',
      '02:30',
      '2026-03-29T08:00Z',
      '2026-03-29T01:30Z',
    ],
    ['02:30 twice on 25 October: the first', '02:30', '2026-10-25T08:00Z', '2026-10-25T00:30Z'],
  ])('%s: %s as seen at %s was last at %s', (_name, clockTime, now, last) => {
    // due as soon as the newest backup is older than that instant
    const isDue = (newestMs: number) =>
      isBackupDue(
        { clockTime, zone: 'Europe/Berlin' },
        { nowMs: Date.parse(now), backupsMs: [newestMs], madeMs: newestMs, failedMs: null },
      );
    expect([isDue(Date.parse(last) - 1), isDue(Date.parse(last))]).toEqual([true, false]);
  });

  const at = { clockTime: '03:30', zone: 'UTC' };
  const nowMs = Date.UTC(2026, 5, 2, 10);
  const ago = (hours: number) => nowMs - hours * 3_600_000;
  // the newest scheduled instant lies 6.5 h back
  test.each([
    ['none since 7 h', [ago(7)], ago(900), null, true],
    ['one 6 h ago', [ago(30), ago(6)], ago(900), null, false],
    ['a record begun 6 h ago, without any', [], ago(6), null, false],
    ['a record begun 7 h ago, without any', [], ago(7), null, true],
    ['an attempt that failed 59 min ago', [ago(30)], ago(900), ago(59 / 60), false],
    ['an attempt that failed 60 min ago', [ago(30)], ago(900), ago(1), true],
    [
      'one named 2 days ahead by a wrong clock, and one of 30 h ago',
      [ago(30), ago(-48)],
      ago(900),
      null,
      true,
    ],
    ['a failure noted 2 h ahead by a wrong clock', [ago(30)], ago(900), ago(-2), true],
    ['a record begun by a clock 3 days ahead', [], ago(-72), null, true],
  ])('%s: due?', (_name, backupsMs, madeMs, failedMs, due) => {
    expect(isBackupDue(at, { nowMs, backupsMs, madeMs, failedMs })).toBe(due);
  });

  test('23:30 UTC on 1 June is 2 June in Berlin, day 20606 since 1970', () => {
    // 2026-06-02 is 56 years and 152 days after 1970-01-01, with 14 leap days: 56 × 365 + 14 + 152
    expect(dayNumber({ atMs: Date.UTC(2026, 5, 1, 23, 30), zone: 'Europe/Berlin' })).toBe(20_606);
  });
});
