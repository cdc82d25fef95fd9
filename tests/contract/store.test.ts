import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, dirname } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import { openDatabase, readMigrations } from '../../server/adapters/sqlite/database.ts';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { encodeGroup } from '../../server/domain/seal/group.ts';
import { Fault } from '../../shared/faults.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../shared/model/place.ts';
import { databaseFile } from '../unit/server/support/house.ts';
import { storeContract } from './store.suite.ts';

storeContract('SQLite', () => {
  const file = databaseFile();
  return { open: () => openStore({ file, nowMs: 0 }) };
});

/** What an open reports instead of a database. */
function faultOf(open: () => unknown): Fault {
  try {
    open();
  } catch (cause) {
    if (cause instanceof Fault) return cause;
    throw cause;
  }
  throw new Error('it opened');
}

const ledger = (file: string) => {
  const db = new Database(file);
  const run = (sql: string, ...values: unknown[]) => void db.prepare(sql).run(...values);
  const applied = db.prepare<[], { version: number; applied_ms: number }>(
    'SELECT version, applied_ms FROM migration ORDER BY version',
  );
  return { run, applied: () => applied.all(), close: () => void db.close() };
};

function madeFile(): string {
  const file = databaseFile();
  openDatabase({ file, nowMs: 1_000 }).close();
  return file;
}

describe('durability', () => {
  test('a file keeps WAL and synchronous = FULL (2) when it is opened the 2nd time', () => {
    const db = openDatabase({ file: madeFile(), nowMs: 2_000 });
    expect(db.pragma('journal_mode', { simple: true })).toBe('wal');
    // SQLite documentation, PRAGMA synchronous: 0 OFF, 1 NORMAL, 2 FULL, 3 EXTRA
    expect(db.pragma('synchronous', { simple: true })).toBe(2);
    expect(db.pragma('foreign_keys', { simple: true })).toBe(1);
    db.close();
  });

  test('the tables are strict: a text for the bytes of a group, or for an hour, is refused', () => {
    const db = openDatabase({ file: databaseFile(), nowMs: 0 });
    expect(() => db.prepare("INSERT INTO journal (body) VALUES ('warm')").run()).toThrow(/journal/);
    const sealed = "INSERT INTO sealed VALUES (1, 'noon', 1, 0, 0, 20, 20, 20, 20, x'00')";
    expect(() => db.prepare(sealed).run()).toThrow(/sealed/);
    db.close();
  });
});

describe('migrations', () => {
  test('are applied once: a 2nd and a 3rd open leave the ledger as it is', () => {
    const file = madeFile();
    for (const nowMs of [2_000, 3_000]) openDatabase({ file, nowMs }).close();
    const seen = ledger(file);
    expect(seen.applied()).toEqual(readMigrations().map(({ version }) => ({ version, applied_ms: 1_000 })));
    seen.close();
  });

  test('an altered checksum is refused with store-failed, naming the migration', () => {
    const file = madeFile();
    const altered = ledger(file);
    altered.run("UPDATE migration SET checksum = 'other' WHERE version = 1");
    altered.close();
    const fault = faultOf(() => openDatabase({ file, nowMs: 2_000 }));
    expect(fault.code).toBe('store-failed');
    expect(fault.message).toContain('0001-record.sql');
    expect(fault.message).toContain('restore a backup');
  });

  test('migration 9999 of a newer version is refused with store-failed', () => {
    const file = madeFile();
    const newer = ledger(file);
    newer.run("INSERT INTO migration VALUES (9999, '9999-later.sql', 'x', 1)");
    newer.close();
    const fault = faultOf(() => openDatabase({ file, nowMs: 2_000 }));
    expect([fault.code, fault.message.includes('9999-later.sql')]).toEqual(['store-failed', true]);
  });

  const next = {
    version: 9_000,
    name: '9000-next.sql',
    sql: 'CREATE TABLE later (x INTEGER) STRICT',
    checksum: 'n',
  };
  const backupsOf = (file: string) =>
    readdirSync(dirname(file)).filter((name) => name.startsWith(`${basename(file)}.before-migration`));

  test('before a further one the file is backed up as it was, with its 1 reading', () => {
    const file = madeFile();
    const before = ledger(file);
    before.run("INSERT INTO journal (body) VALUES (x'14')");
    before.close();
    openDatabase({ file, nowMs: 2_000, migrations: [...readMigrations(), next] }).close();
    expect(backupsOf(file)).toEqual([`${basename(file)}.before-migration-2000`]);
    const backup = new Database(`${file}.before-migration-2000`, { readonly: true });
    expect(backup.prepare('SELECT hex(body) AS body FROM journal').all()).toEqual([{ body: '14' }]);
    expect(backup.prepare("SELECT name FROM sqlite_master WHERE name = 'later'").all()).toEqual([]);
    backup.close();
    const after = ledger(file);
    expect(after.applied().at(-1)).toEqual({ version: 9_000, applied_ms: 2_000 });
    after.close();
  });

  test('one that fails is rolled back whole, with its entry', () => {
    const file = madeFile();
    const broken = { ...next, sql: 'CREATE TABLE later (x INTEGER) STRICT; SELECT nonsense()' };
    const open = () => openDatabase({ file, nowMs: 2_000, migrations: [...readMigrations(), broken] });
    expect(faultOf(open).code).toBe('store-failed');
    const db = openDatabase({ file, nowMs: 3_000 });
    expect(db.prepare("SELECT name FROM sqlite_master WHERE name = 'later'").all()).toEqual([]);
    expect(db.prepare('SELECT max(version) AS newest FROM migration').get()).not.toEqual({ newest: 9_000 });
    db.close();
  });

  test('a file of the 1st migration is brought to the newest, its 1 reading kept and a backup beside it', () => {
    const file = databaseFile();
    const first = openDatabase({ file, nowMs: 1_000, migrations: readMigrations().slice(0, 1) });
    const group = encodeGroup([{ probeId: 1, tMs: 1, value: 20 }]);
    first.prepare('INSERT INTO journal (body) VALUES (?)').run(group);
    first.close();
    const store = openStore({ file, nowMs: 2_000 });
    expect(store.journal.latest(1)).toEqual({ probeId: 1, tMs: 1, value: 20 });
    store.close();
    expect(backupsOf(file)).toHaveLength(1);
    const after = ledger(file);
    expect(after.applied().map(({ version }) => version)).toEqual(
      readMigrations().map(({ version }) => version),
    );
    after.close();
  });

  test('a new file and one without anything to do are not backed up', () => {
    const file = madeFile();
    openDatabase({ file, nowMs: 2_000 }).close();
    expect(backupsOf(file)).toEqual([]);
  });
});

test('a place kept when it had 1 setting gets the usual others', () => {
  const file = madeFile();
  const older = ledger(file);
  older.run(
    `INSERT INTO place (id, name, kind, invented, settings) VALUES ('b', 'b', 'bench', 0, '{"maxGapMs":60000}')`,
  );
  older.close();
  const store = openStore({ file, nowMs: 2_000 });
  expect(store.places.all()[0]?.settings).toEqual({ ...DEFAULT_PLACE_SETTINGS, maxGapMs: 60_000 });
  store.close();
});

describe('a file that cannot be used gives 1 store-failed that names it and why', () => {
  test('no database at all', () => {
    const file = databaseFile();
    writeFileSync(file, 'not a database '.repeat(500));
    const fault = faultOf(() => openStore({ file, nowMs: 0 }));
    expect(fault.code).toBe('store-failed');
    expect(fault.message).toContain(file);
    expect(fault.message).toContain('not a database');
    expect(readFileSync(file, 'utf8').startsWith('not a database not')).toBe(true);
  });

  test('a database whose pages were overwritten', () => {
    const file = madeFile();
    const bytes = readFileSync(file);
    // the first page, behind the 100 bytes of the file's header (SQLite documentation, file format)
    bytes.fill(0xff, 100, 4_096);
    writeFileSync(file, bytes);
    expect(faultOf(() => openStore({ file, nowMs: 0 }))).toMatchObject({ code: 'store-failed' });
  });

  test('a folder in the place of the file', () => {
    const file = dirname(databaseFile());
    expect(faultOf(() => openStore({ file, nowMs: 0 }))).toMatchObject({ code: 'store-failed' });
  });
});
