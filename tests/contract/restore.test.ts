import { existsSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { beforeAll, describe, expect, test } from 'vitest';
import { APPLICATION_ID, openDatabase, readMigrations } from '../../server/adapters/sqlite/database.ts';
import { columnsMadeBy } from '../../server/adapters/sqlite/restore/made-schema.ts';
import { restoreRecord } from '../../server/adapters/sqlite/restore/restore.ts';
import { NOT_RESTORED, RESTORED_TABLES } from '../../server/adapters/sqlite/restore/tables.ts';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { isComplete } from '../../server/domain/backups/restored.ts';
import { readTargets } from '../../server/domain/places/default-targets.ts';
import type { Store } from '../../server/ports.ts';
import { temporaryFolder } from '../support/folders.ts';
import { makeFullRecord } from '../support/full-record.ts';

const NOW_MS = Date.UTC(2026, 5, 1, 10, 20);
const DERIVED = ['settled', 'settled_day'];
const quiet = () => undefined;

let full: string;
beforeAll(async () => {
  full = join(temporaryFolder('full'), 'record.db');
  await makeFullRecord(full, { nowMs: NOW_MS });
});

function rowsIn(file: string, table: string): unknown[] {
  const db = new Database(file, { readonly: true });
  const rows = db.prepare(`SELECT * FROM "${table}"`).all();
  db.close();
  return rows;
}

function restored(from: string, nowMs = NOW_MS) {
  const to = join(temporaryFolder('restored'), 'strikewell.db');
  return { to, report: restoreRecord({ from, to, named: 'b', nowMs, onProgress: quiet }) };
}

describe('the list of what is restored', () => {
  test('names every table and every column that the migrations make, once', () => {
    const made = columnsMadeBy(readMigrations());
    const listed = RESTORED_TABLES.map(({ table, check }) => [table, Object.keys(check.columns).toSorted()]);
    const expected = [...made]
      .filter(([table]) => !Object.hasOwn(NOT_RESTORED, table))
      .map(([table, columns]) => [table, columns.toSorted()]);
    expect(listed.toSorted()).toEqual(expected.toSorted());
    expect(Object.keys(NOT_RESTORED).filter((table) => !made.has(table))).toEqual([]);
  });

  test('names parents before the tables that refer to them', () => {
    const db = openDatabase({ file: ':memory:', nowMs: 0 });
    const order = RESTORED_TABLES.map(({ table }) => table);
    const late = order.flatMap((table, at) => {
      const parents = db.pragma(`foreign_key_list("${table}")`) as { table: string }[];
      return parents
        .filter((parent) => order.indexOf(parent.table) > at)
        .map((parent) => [table, parent.table]);
    });
    db.close();
    expect(late).toEqual([]);
  });
});

/** What a store answers about everything, by its own functions. */
function answers(store: Store): unknown {
  const placeIds = store.places.all().map(({ id }) => id);
  const probeIds = [1, 2];
  const span = { fromMs: NOW_MS - 90 * 86_400_000, toMs: NOW_MS };
  return {
    places: store.places.all(),
    targets: placeIds.map((id) => store.places.targetsEntries(id)),
    probes: store.probes.all(),
    readings: store.journal.window({ probeIds, ...span, orMinutes: true }),
    raw: store.journal.window({ probeIds, ...span, asReported: true }),
    hours: probeIds.map((id) => store.journal.hours(id, span)),
    minutes: probeIds.map((id) => store.journal.minutes(id, span)),
    settled: placeIds.map((id) => store.settled.get(id, span)),
    days: placeIds.map((id) => store.settled.days(id, span)),
    horizon: store.horizon.get(),
    alarms: store.alarms
      .all()
      .map((alarm) => [alarm, store.alarms.events(alarm.id), store.people.calling(alarm.id)]),
    people: [
      store.people.roster(),
      store.people.failing(),
      store.people.morningSheetDay(),
      store.people.isLinkUsed('link-1'),
    ],
    tests: [store.pathTests.weekly(), store.pathTests.all()],
    messages: [store.outbox.waiting(), store.outbox.nextId(), store.outbox.wasUsed(1)],
    access: [store.access.accounts(), store.access.deviceLogin(), store.access.devices()],
    keys: (['webhook-secret', 'link-key', 'push-keys'] as const).map((name) => store.keys.read(name)),
    gaps: store.restoreGaps.all(),
    mappings: store.mappings.all(),
    sheets: store.sheets.all(),
    waiting: [store.waiting.devices(), store.waiting.packs('new-node'), store.waiting.totals()],
    archive: [store.archive.items(), store.archive.names(), store.archive.place('old')],
    clock: [store.clock.jumps(9), store.clock.aside()],
    checks: [store.checks.all(), store.checks.due(), store.corrections.of(null)],
    refusals: [store.refusals.newest(9), store.refusals.countsByCode()],
    handshakes: store.handshakes.all(),
    vents: placeIds.map((id) => store.diary.vents(id)),
  };
}

describe('a record with rows in every table', () => {
  test('is restored with every row as it was, but for sessions, and gives the same answers', () => {
    const { to, report } = restored(full);
    expect(report.remarks).toEqual([]);
    expect(isComplete(report)).toBe(true);
    for (const { table } of RESTORED_TABLES) {
      const rows = rowsIn(full, table);
      expect([table, rows.length > 0]).toEqual([table, true]);
      expect([table, rowsIn(to, table)]).toEqual([table, rows]);
    }
    expect(rowsIn(full, 'session')).toHaveLength(1);
    expect(rowsIn(to, 'session')).toEqual([]);
    expect(rowsIn(to, 'migration')).toEqual(rowsIn(full, 'migration'));
    expect(rowsIn(to, 'sqlite_sequence').toSorted()).toEqual(
      expect.arrayContaining(
        rowsIn(full, 'sqlite_sequence').filter((row) => (row as { name: string }).name !== 'session'),
      ),
    );
    const opened = (file: string) => openStore({ file, nowMs: NOW_MS });
    const [before, after] = [opened(full), opened(to)];
    expect(answers(after)).toEqual(answers(before));
    for (const store of [before, after]) store.close();
  });

  test('leaves only 1 file, marked as a record, and the backup as it was', () => {
    const { to } = restored(full);
    expect([`${to}-wal`, `${to}-shm`, `${to}.older`].filter((path) => existsSync(path))).toEqual([]);
    const db = new Database(to, { readonly: true });
    expect(db.pragma('application_id', { simple: true })).toBe(APPLICATION_ID);
    expect(db.pragma('integrity_check', { simple: true })).toBe('ok');
    expect(db.pragma('foreign_key_check')).toEqual([]);
    db.close();
  });

  test('of a version of 12 migrations is brought to this one', () => {
    const file = join(temporaryFolder('older'), 'older.db');
    const db = openDatabase({ file, nowMs: NOW_MS, migrations: readMigrations().slice(0, 12) });
    const settings =
      '{"maxGapMs":900000,"ceilingAlarm":{"onDelayMs":30000,"offDelayMs":60000,"deadbandK":0.5}}';
    db.prepare('INSERT INTO place VALUES (?, ?, ?, 0, ?)').run('a', 'A', 'bench', settings);
    db.prepare("INSERT INTO targets (place_id, from_ms, entered_ms, body) VALUES ('a', 0, 0, ?)").run(
      JSON.stringify(readTargets([''])[0]?.targets),
    );
    db.prepare('INSERT INTO person (name) VALUES (?)').run('Sam');
    db.pragma('application_id = 0');
    db.close();
    const { to, report } = restored(file);
    expect(report.version).toEqual({ applied: 12, known: readMigrations().length });
    expect(report.remarks).toEqual([]);
    const [place] = rowsIn(to, 'place') as { settings: string }[];
    expect(JSON.parse(place?.settings ?? '').alarms['air-over-ceiling']).toMatchObject({ onDelayMs: 30_000 });
    expect(rowsIn(to, 'person')).toHaveLength(1);
    expect(rowsIn(to, 'migration')).toHaveLength(readMigrations().length);
  });

  test('reports how far it is in whole per cent, up to 100', () => {
    const progress: string[] = [];
    const to = join(temporaryFolder('restored'), 'strikewell.db');
    restoreRecord({
      from: full,
      to,
      named: 'b',
      nowMs: NOW_MS,
      onProgress: ({ phase, pct }) => void progress.push(`${phase} ${pct}`),
    });
    expect(progress.slice(0, 2)).toEqual(['checking 0', 'restoring 0']);
    expect(progress.at(-1)).toBe('restoring 100');
  });
});

test('sums of exposures whose readings are there are made again, whatever the file says they are', () => {
  expect(DERIVED.map((table) => rowsIn(full, table).length)).toEqual([1, 1]);
  const file = join(temporaryFolder('sums'), 'record.db');
  const db = new Database(full, { readonly: true });
  db.prepare('VACUUM INTO ?').run(file);
  db.close();
  const changed = new Database(file);
  changed.exec(
    'UPDATE settled SET day = day + 59; UPDATE settled_day SET from_ms = from_ms + 5e9, to_ms = to_ms + 5e9',
  );
  changed.close();
  const { to, report } = restored(file);
  expect(isComplete(report)).toBe(true);
  expect(DERIVED.map((table) => rowsIn(to, table).length)).toEqual([0, 0]);
});
