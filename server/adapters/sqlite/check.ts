import { statSync } from 'node:fs';
import Database from 'better-sqlite3';
import { Fault } from '../../../shared/faults.ts';
import { readMigrations } from './database.ts';

/** True when the bytes of the file are not those of a sound database; permissions and full disks are other things. */
export function isDamage(cause: unknown): boolean {
  return cause instanceof Database.SqliteError && /^SQLITE_(CORRUPT|NOTADB)/.test(cause.code);
}

/**
 * Runs a check over a database file that changes nothing in it, not even what its write-ahead log holds.
 * @param check `quick` reads every page and the order of the rows; `whole` also holds each index against its table
 * @returns what is wrong in the database's words, or null when it is sound
 * @throws Fault `store-failed` when the file cannot be read at all
 */
export function damageOf(file: string, check: 'quick' | 'whole'): string | null {
  let db: Database.Database | null = null;
  try {
    db = new Database(file, { readonly: true, fileMustExist: true });
    return damageIn(db, check);
  } catch (cause) {
    const why = cause instanceof Error ? cause.message : String(cause);
    if (isDamage(cause)) return why;
    throw new Fault({ code: 'store-failed', message: `The database ${file} cannot be read: ${why}.`, cause });
  } finally {
    db?.close();
  }
}

/** The same over an open database. */
export function damageIn(db: Database.Database, check: 'quick' | 'whole'): string | null {
  const pragma = check === 'quick' ? 'quick_check(1)' : 'integrity_check(1)';
  const said = String(db.pragma(pragma, { simple: true }));
  return said === 'ok' ? null : said.replaceAll('\n', ' ');
}

/** Rows in each table. */
export type RowCounts = Readonly<Record<string, number>>;

/** Counts the rows of every table, in one snapshot when the caller holds one. */
export function rowCounts(db: Database.Database): RowCounts {
  const tables = db
    .prepare<[], string>(
      `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name`,
    )
    .pluck()
    .all();
  return Object.fromEntries(tables.map((table) => [table, countOf(db, table)]));
}

function countOf(db: Database.Database, table: string): number {
  const sql = `SELECT count(*) FROM "${table.replaceAll('"', '""')}"`;
  return db.prepare<[], number>(sql).pluck().get() ?? 0;
}

type Applied = { readonly version: number; readonly name: string; readonly checksum: string };

/**
 * The migrations in a file, held against those of this version.
 * @returns how many there are, the first this version does not know in that place and form or null, and when the
 * first was applied, ms since epoch
 */
export function migrationsIn(db: Database.Database): {
  applied: number;
  unknown: string | null;
  madeMs: number | null;
} {
  const rows = db
    .prepare<[], Applied>('SELECT version, name, checksum FROM migration ORDER BY version')
    .all();
  const madeMs = db.prepare<[], number | null>('SELECT min(applied_ms) FROM migration').pluck().get() ?? null;
  const known = readMigrations();
  const unknown = rows.find(
    (row, at) => known[at]?.version !== row.version || known[at]?.checksum !== row.checksum,
  );
  return { applied: rows.length, unknown: unknown?.name ?? null, madeMs };
}

/** Bytes of a database file and of its write-ahead log; 0 for what is not there. */
export function sizeOf(file: string): { databaseBytes: number; walBytes: number } {
  const bytes = (path: string) => statSync(path, { throwIfNoEntry: false })?.size ?? 0;
  return { databaseBytes: bytes(file), walBytes: bytes(`${file}-wal`) };
}
