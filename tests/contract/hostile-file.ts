import { copyFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { restoreRecord } from '../../server/adapters/sqlite/restore/restore.ts';
import { temporaryFolder } from '../support/folders.ts';

/** The time of these tests, ms since epoch, and its hour. */
export const NOW_MS = Date.UTC(2026, 5, 1, 10, 20);
export const HOUR_MS = 3_600_000;
export const HOUR = Math.floor(NOW_MS / HOUR_MS);

/** A copy of a record, changed by whoever may do everything. */
export function changedCopy(of: string, change: (db: Database.Database) => void): string {
  const file = join(temporaryFolder('hostile'), 'hostile.db');
  copyFileSync(of, file);
  const db = new Database(file);
  db.unsafeMode();
  db.pragma('ignore_check_constraints = ON');
  db.pragma('foreign_keys = OFF');
  change(db);
  db.close();
  return file;
}

/** Restores a file into a folder of its own. */
export function restored(from: string) {
  const to = join(temporaryFolder('restored'), 'strikewell.db');
  const report = restoreRecord({ from, to, named: 'b', nowMs: NOW_MS, onProgress: () => undefined });
  return { to, report };
}

/** One value out of a database file. */
export function valueIn(file: string, sql: string): unknown {
  const db = new Database(file, { readonly: true });
  const value = db.prepare(sql).pluck().get();
  db.close();
  return value;
}
