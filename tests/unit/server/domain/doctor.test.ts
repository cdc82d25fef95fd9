import { describe, expect, test } from 'vitest';
import { type Examined, findings } from '../../../../server/domain/doctor/findings.ts';

const HOUR_MS = 3_600_000;
const NOW_MS = Date.UTC(2026, 5, 1, 10);
const MB = 1_000_000;

const RECORD: NonNullable<Examined['record']> = {
  file: 'data/strikewell.db',
  damage: null,
  fileBytes: 5 * MB,
  walBytes: MB,
  facts: {
    migrations: { applied: 2, known: 2, unknown: null },
    counts: { places: 2, probes: 10 },
    newestMs: NOW_MS - 10_000,
    madeMs: NOW_MS - 100 * 24 * HOUR_MS,
  },
};
const WELL: Examined = {
  nowMs: NOW_MS,
  version: '0.1.0',
  node: '24.0.0',
  timeZone: 'UTC',
  dataDir: 'data',
  running: { pid: 42, host: 'here', elsewhere: false },
  writable: true,
  reserve: { bytes: 8_388_608, wantedBytes: 8_388_608 },
  ports: [
    { name: 'page', address: '127.0.0.1:8340', ours: true, answers: true },
    { name: 'your broker', address: 'hut:1883', ours: false, answers: true },
  ],
  record: RECORD,
  access: null,
  backups: { count: 3, newestMs: NOW_MS - 6 * HOUR_MS, dailyAt: '03:30' },
  newestBackup: 'data/backups/b.db',
  page: 'current',
  room: { databaseBytes: 6 * MB, freeBytes: 900 * MB, bytesPerDay: MB, daysLeft: 40 },
};
const hands = (examined: Examined) => findings(examined).filter(({ remedy }) => remedy !== null);
const facts = (change: Partial<NonNullable<typeof RECORD.facts>>): Examined => ({
  ...WELL,
  record: { ...RECORD, facts: RECORD.facts && { ...RECORD.facts, ...change } },
});

test('of an installation that is well, 16 lines need no hand', () => {
  expect(findings(WELL)).toHaveLength(16);
  expect(hands(WELL)).toEqual([]);
});

describe('each thing that needs a hand is 1 line with its remedy', () => {
  const port = (answers: boolean, ours: boolean) => [{ name: 'port', address: 'a:1', ours, answers }];
  const room = (change: Partial<NonNullable<Examined['room']>>): Examined => ({
    ...WELL,
    room: WELL.room && { ...WELL.room, ...change },
  });
  const cases: readonly (readonly [string, Examined, string, string])[] = [
    ['a folder that cannot be written', { ...WELL, writable: false }, 'data folder', 'mount'],
    [
      'a reserve that was given up',
      { ...WELL, reserve: { bytes: 0, wantedBytes: 8_388_608 } },
      'reserve',
      'Free more than',
    ],
    ['a page that is not built', { ...WELL, page: 'missing' }, 'built page', 'npm ci'],
    ['a page older than its sources', { ...WELL, page: 'older' }, 'built page', 'npm ci'],
    [
      'not running: nothing is being monitored',
      { ...WELL, running: null, ports: [] },
      'daemon',
      'strikewell serve',
    ],
    ['our port is silent', { ...WELL, ports: port(false, true) }, 'port', 'restart'],
    ['your broker is silent', { ...WELL, ports: port(false, false) }, 'port', 'the broker is running'],
    ['no record', { ...WELL, record: null }, 'record', 'restore'],
    [
      'damage',
      { ...WELL, record: { ...RECORD, damage: 'x' } },
      'integrity',
      'restore data/backups/b.db --overwrite',
    ],
    ['a log of 68 MB', { ...WELL, record: { ...RECORD, walBytes: 68 * MB } }, 'write-ahead log', 'restart'],
    ['silence for 61 min', facts({ newestMs: NOW_MS - 61 * 60_000 }), 'newest reading', 'sensors'],
    [
      'a later migration',
      facts({ migrations: { applied: 3, known: 2, unknown: '9-later.sql' } }),
      'migrations',
      'version',
    ],
    [
      'a backup 49 h old',
      { ...WELL, backups: { ...WELL.backups, newestMs: NOW_MS - 49 * HOUR_MS } },
      'backups',
      'strikewell backup',
    ],
    [
      'no backup',
      { ...WELL, backups: { ...WELL.backups, count: 0, newestMs: null } },
      'backups',
      'strikewell backup',
    ],
    ['29 days of room', room({ daysLeft: 29 }), 'room', 'Free disk space'],
    ['60 MB free', room({ freeBytes: 60 * MB }), 'room', 'Free disk space'],
  ];
  test.each(cases)('%s', (_name, examined, of, remedy) => {
    const found = hands(examined);
    expect(found.map((one) => one.of)).toEqual([of]);
    expect(found[0]?.remedy).toContain(remedy);
  });

  test('with the daemon down a free port is well, a taken one needs a hand too', () => {
    const down = (answers: boolean): Examined => ({ ...WELL, running: null, ports: port(answers, true) });
    expect(hands(down(false)).map(({ of }) => of)).toEqual(['daemon']);
    expect(hands(down(true)).map(({ of }) => of)).toEqual(['daemon', 'port']);
  });

  test('with daily backups off, one 49 h old is well, and one 31 days old is not', () => {
    const off = (hours: number): Examined => ({
      ...WELL,
      backups: { count: 1, newestMs: NOW_MS - hours * HOUR_MS, dailyAt: null },
    });
    expect(hands(off(49))).toEqual([]);
    expect(hands(off(31 * 24)).map(({ of }) => of)).toEqual(['backups']);
  });

  test('a record begun 47 h ago needs no backup yet', () => {
    const young = facts({ madeMs: NOW_MS - 47 * HOUR_MS });
    expect(hands({ ...young, backups: { ...WELL.backups, count: 0, newestMs: null } })).toEqual([]);
  });
});
