import { statSync } from 'node:fs';
import Database from 'better-sqlite3';
import { Fault } from '../../../../shared/faults.ts';
import { decodeDay } from '../../../domain/exposures/settled-day.ts';
import { BlockDamaged } from '../../../domain/seal/damaged.ts';
import { decodeGroup } from '../../../domain/seal/group.ts';
import { checkHour } from '../../../domain/seal/minutes.ts';
import { readMigrations } from '../database.ts';

/** True when what is stored is not what was written; permissions and full disks are other things. */
export function isDamage(cause: unknown): boolean {
  if (cause instanceof BlockDamaged) return true;
  if (cause instanceof Fault) return isDamage(cause.cause);
  return cause instanceof Database.SqliteError && /^SQLITE_(CORRUPT|NOTADB)/.test(cause.code);
}

/**
 * How far a check goes. `light`: the file opens and what is not sealed yet can be read. `quick`: every page, the
 * order of the rows, and the checksum of every block of readings. `whole`: also each index against its table.
 */
type CheckDepth = 'light' | 'quick' | 'whole';

/**
 * Checks a database file and changes nothing in it, not even what its write-ahead log holds.
 * @returns what is wrong, or null when it is sound
 * @throws Fault `store-failed` when the file cannot be read at all
 */
export function damageOf(file: string, depth: CheckDepth): string | null {
  let db: Database.Database | null = null;
  try {
    db = new Database(file, { readonly: true, fileMustExist: true });
    return damageIn(db, depth);
  } catch (cause) {
    const why = cause instanceof Error ? cause.message : String(cause);
    if (isDamage(cause)) return why;
    throw new Fault({ code: 'store-failed', message: `The database ${file} cannot be read: ${why}.`, cause });
  } finally {
    db?.close();
  }
}

/** The same over an open database; damage may also be thrown, see `isDamage`. */
export function damageIn(db: Database.Database, depth: CheckDepth): string | null {
  if (depth !== 'light') {
    const pragma = depth === 'quick' ? 'quick_check(1)' : 'integrity_check(1)';
    const said = String(db.pragma(pragma, { simple: true }));
    if (said !== 'ok') return said.replaceAll('\n', ' ');
    readEach(db, { table: 'sealed', column: 'block' }, checkHour);
    if (hasTable(db, 'horizon'))
      readEach(db, { table: 'settled', column: 'parts' }, (parts) => decodeDay(parts, 0));
  }
  readEach(db, { table: 'journal', column: 'body' }, decodeGroup);
  return null;
}

type Stored =
  | { readonly table: 'sealed'; readonly column: 'block' }
  | { readonly table: 'settled'; readonly column: 'parts' }
  | { readonly table: 'journal'; readonly column: 'body' };

/** @throws BlockDamaged at the first that is not what was written */
function readEach(
  db: Database.Database,
  { table, column }: Stored,
  read: (bytes: Uint8Array) => unknown,
): void {
  if (!hasTable(db, table)) return;
  for (const bytes of db.prepare<[], Uint8Array>(`SELECT ${column} FROM ${table}`).pluck().iterate())
    read(bytes);
}

/** True when the database has a table of that name. */
export function hasTable(db: Database.Database, name: string): boolean {
  return db.prepare("SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = ?").get(name) !== undefined;
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
