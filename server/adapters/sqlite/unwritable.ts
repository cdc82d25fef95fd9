import { readFileSync } from 'node:fs';
import Database from 'better-sqlite3';
import { Fault } from '../../../shared/faults.ts';
import type { RecordStore } from '../../ports.ts';
import { type Db, migrate, readMigrations } from './database.ts';
import { migrationsIn, sizeOf } from './file/check.ts';
import { recordOn } from './store.ts';

/** Most of a record that is copied into memory, bytes. */
const MOST_COPIED_BYTES = 256 * 1024 * 1024;
/** Where a database says whether it has a write-ahead log, and what it says without one. */
const [LOG_BYTES, NO_LOG] = [[18, 19], 1];

/**
 * Opens the record of a disk that accepts nothing: it can be read, and stood in for. It is read where it lies if that
 * can be done without writing; otherwise, up to 256 MiB, from a copy in memory.
 * @throws Fault `store-failed`
 */
export function openUnwritable({ file, nowMs }: { file: string; nowMs: number }): RecordStore {
  const migrations = readMigrations();
  try {
    return recordOn(readable(file, nowMs), migrations);
  } catch (cause) {
    if (cause instanceof Fault) throw cause;
    const why = cause instanceof Error ? cause.message : String(cause);
    const message = `The database ${file} cannot be read: ${why}.`;
    throw new Fault({ code: 'store-failed', message, cause });
  }
}

function readable(file: string, nowMs: number): Db {
  const migrations = readMigrations();
  const inPlace = openInPlace(file);
  if (inPlace === null) return migrated(inMemory(readCopy(file)));
  if (migrationsIn(inPlace).applied === migrations.length) return inPlace;
  requireSmall(file);
  const copy = inMemory(inPlace.serialize());
  inPlace.close();
  return migrated(copy);

  function migrated(db: Db): Db {
    migrate(db, { nowMs, migrations, backup: null });
    return db;
  }
}

/** Null where SQLite would have to write beside the file before it reads it. */
function openInPlace(file: string): Db | null {
  const db = new Database(file, { readonly: true, fileMustExist: true });
  try {
    migrationsIn(db);
    return db;
  } catch {
    db.close();
    return null;
  }
}

function readCopy(file: string): Buffer {
  requireSmall(file);
  const { walBytes } = sizeOf(file);
  if (walBytes === 0) return readFileSync(file);
  const message = `The database ${file} cannot be read while nothing can be written beside it. Make the disk writable.`;
  throw new Fault({ code: 'store-failed', message });
}

function requireSmall(file: string): void {
  const { databaseBytes } = sizeOf(file);
  if (databaseBytes <= MOST_COPIED_BYTES) return;
  const message = `The database ${file} is too large to be read into memory. Make the disk writable.`;
  throw new Fault({ code: 'store-failed', message });
}

function inMemory(bytes: Buffer): Db {
  for (const at of LOG_BYTES) bytes[at] = NO_LOG;
  return new Database(bytes);
}
