import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import { openDatabase, readMigrations } from '../../server/adapters/sqlite/database.ts';
import { restoreRecord } from '../../server/adapters/sqlite/restore/restore.ts';
import { Fault } from '../../shared/faults.ts';
import { temporaryFolder } from '../support/folders.ts';

const MADE_MS = Date.UTC(2026, 0, 1);
const UPGRADED_MS = Date.UTC(2026, 5, 1);
const ALL = readMigrations();

function refusalOf(file: string, migrations: typeof ALL): Fault {
  try {
    openDatabase({ file, nowMs: UPGRADED_MS, migrations }).close();
  } catch (cause) {
    if (cause instanceof Fault) return cause;
    throw cause;
  }
  throw new Error('it was opened');
}

const refusedIn = (file: string): unknown => {
  const db = new Database(file, { readonly: true });
  const rows = db.prepare('SELECT count(*) AS n FROM refused').get();
  db.close();
  return rows;
};

describe.each(ALL.slice(0, -1))('a record of $name', ({ version }) => {
  const then = ALL.filter((migration) => migration.version <= version);

  test('is upgraded; the version that made it names the copy of before, which it opens and restore takes', () => {
    const file = join(temporaryFolder('upgrade'), 'strikewell.db');
    openDatabase({ file, nowMs: MADE_MS, migrations: then }).close();
    openDatabase({ file, nowMs: UPGRADED_MS }).close();
    const copy = `${file}.before-migration-${UPGRADED_MS}`;
    const { code, message } = refusalOf(file, then);
    expect(code).toBe('store-failed');
    expect(message).toContain(`strikewell restore "${copy}" --overwrite`);
    openDatabase({ file: copy, nowMs: UPGRADED_MS, migrations: then }).close();
    const to = `${file}.restored`;
    const report = restoreRecord({
      from: copy,
      to,
      named: copy,
      nowMs: UPGRADED_MS,
      onProgress: () => undefined,
    });
    expect(report.version).toEqual({ applied: then.length, known: ALL.length });
    expect(report.remarks).toEqual([]);
    expect(refusedIn(to)).toEqual({ n: 0 });
  });
});

test('of 2 copies the newest that the older version reads is named, and none where neither fits', () => {
  const file = join(temporaryFolder('upgrade'), 'strikewell.db');
  const [first, second] = [ALL.slice(0, 5), ALL.slice(0, 9)];
  openDatabase({ file, nowMs: MADE_MS, migrations: first }).close();
  openDatabase({ file, nowMs: MADE_MS + 1, migrations: second }).close();
  openDatabase({ file, nowMs: MADE_MS + 2 }).close();
  expect(refusalOf(file, second).message).toContain(`.before-migration-${MADE_MS + 2}"`);
  expect(refusalOf(file, first).message).toContain(`.before-migration-${MADE_MS + 1}"`);
  expect(refusalOf(file, ALL.slice(0, 2)).message).not.toContain('strikewell restore');
});
