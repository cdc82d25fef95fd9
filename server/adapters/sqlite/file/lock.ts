import { readFileSync, readlinkSync, rmSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { hostname } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { Fault } from '../../../../shared/faults.ts';

/** The file that is locked. It stays for good: whoever removed it would let a second process lock a new one. */
const LOCK = 'strikewell.lock';
/** Who holds the lock, for people to read; it decides nothing. */
const NOTE = 'strikewell.lock.json';
/** How long a lock waits for a command that only asked whether it is held, ms. */
const WAIT_MS = 1_000;

/** What is known of the process that holds a data folder. Numbers of processes are those of its own container. */
type LockHolder = {
  /** null where it left no readable note */
  readonly pid: number | null;
  readonly host: string | null;
  /** true when it runs in another container, or on another machine, so that its number means nothing here */
  readonly elsewhere: boolean;
};

/** `held` is false for a folder that cannot be written, where a start was allowed without a lock. */
type DataDirLock = { readonly held: boolean; release(): void };

/** Connections that hold a lock; one that nobody refers to would be closed, and its lock with it. */
const holding = new Set<Database.Database>();

/**
 * Locks the data folder for this process alone, until the lock is released or the process ends, however it ends: the
 * kernel holds the lock. Nothing else in this process may open the file, as closing it would let the lock go.
 * @param options.unwritable what to do about a folder that cannot be written: throw, or go on without a lock
 * @throws Fault `data-dir-in-use` with what is known of the holder; `data-dir-unwritable`
 */
export function lockDataDir(
  dataDir: string,
  { unwritable = 'throw' }: { readonly unwritable?: 'throw' | 'go-on' } = {},
): DataDirLock {
  try {
    emptyOldNote(join(dataDir, LOCK));
    const db = locked(join(dataDir, LOCK));
    if (db === null) throw inUse(dataDir, lockHolder(dataDir) ?? UNKNOWN);
    holding.add(db);
    writeNote(dataDir);
    return { held: true, release: () => release(db, dataDir) };
  } catch (cause) {
    if (cause instanceof Fault) throw cause;
    if (unwritable === 'go-on') return { held: false, release: () => undefined };
    const why = cause instanceof Error ? cause.message : String(cause);
    const message = `STRIKEWELL_DATA_DIR cannot be written: ${why}. Free disk space, or choose another folder.`;
    throw new Fault({ code: 'data-dir-unwritable', message, details: { key: 'STRIKEWELL_DATA_DIR' }, cause });
  }
}

/** What is known of the process that holds the data folder, or null when none does. Changes nothing. */
export function lockHolder(dataDir: string): LockHolder | null {
  const file = join(dataDir, LOCK);
  // opening another process's file may not make one, and a note of an older version is no lock
  if (statSync(file, { throwIfNoEntry: false })?.size !== 0) return null;
  let db: Database.Database | null = null;
  try {
    db = new Database(file, { readonly: true, fileMustExist: true, timeout: 0 });
    db.prepare('SELECT count(*) FROM sqlite_schema').get();
    return null;
  } catch (cause) {
    return isBusy(cause) ? (readNote(dataDir) ?? UNKNOWN) : null;
  } finally {
    db?.close();
  }
}

/** The holder as it is named in a sentence. */
export function holderWords({ pid, host, elsewhere }: LockHolder): string {
  if (pid === null) return 'another process';
  return elsewhere ? `process ${pid} of another container or machine, ${host}` : `process ${pid}`;
}

const UNKNOWN: LockHolder = { pid: null, host: null, elsewhere: false };

/** @returns the connection that holds the lock, or null when another process holds it */
function locked(file: string): Database.Database | null {
  const db = new Database(file, { timeout: WAIT_MS });
  try {
    db.exec('BEGIN EXCLUSIVE');
    return db;
  } catch (cause) {
    db.close();
    if (isBusy(cause)) return null;
    throw cause;
  }
}

function release(db: Database.Database, dataDir: string): void {
  if (!holding.delete(db)) return;
  // before the lock is let go: afterwards it may be the note of the next
  rmSync(join(dataDir, NOTE), { force: true });
  db.close();
}

function isBusy(cause: unknown): boolean {
  return cause instanceof Database.SqliteError && /^SQLITE_(BUSY|LOCKED)/.test(cause.code);
}

/** Versions before kept the number of their process in this file; emptied in place, it stays the file all others lock. */
function emptyOldNote(file: string): void {
  if ((statSync(file, { throwIfNoEntry: false })?.size ?? 0) > 0) truncateSync(file);
}

type Note = { readonly pid: number; readonly host: string; readonly pidNamespace: string | null };

/** A full disk may refuse the note: the lock holds all the same. */
function writeNote(dataDir: string): void {
  const note: Note = { pid: process.pid, host: hostname(), pidNamespace: pidNamespace() };
  try {
    writeFileSync(join(dataDir, NOTE), JSON.stringify(note), { mode: 0o600 });
  } catch {
    rmSync(join(dataDir, NOTE), { force: true });
  }
}

function readNote(dataDir: string): LockHolder | null {
  try {
    const text = readFileSync(join(dataDir, NOTE), 'utf8');
    const { pid, host, pidNamespace: namespace }: Partial<Note> = JSON.parse(text);
    if (typeof pid !== 'number' || typeof host !== 'string') return null;
    return { pid, host, elsewhere: host !== hostname() || namespace !== pidNamespace() };
  } catch {
    return null;
  }
}

/** Which count of processes this one is numbered in; null where the system does not say. */
function pidNamespace(): string | null {
  try {
    return readlinkSync('/proc/self/ns/pid');
  } catch {
    return null;
  }
}

function inUse(dataDir: string, holder: LockHolder): Fault {
  const message =
    `STRIKEWELL_DATA_DIR "${dataDir}" is in use by ${holderWords(holder)}: ` +
    'Strikewell runs on it already. Stop that one, or choose another folder.';
  const details = { key: 'STRIKEWELL_DATA_DIR', pid: holder.pid };
  return new Fault({ code: 'data-dir-in-use', message, details });
}
