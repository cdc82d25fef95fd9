import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import Database from 'better-sqlite3';
import { Fault } from '../../../../shared/faults.ts';
import { APPLICATION_ID, type Db, type Migration, readMigrations } from '../database.ts';
import { isDamage } from '../file/check.ts';
import { type Columns, columnsMadeBy } from './made-schema.ts';
import { MOST_TEXT_BYTES } from './row-check.ts';
import { shown } from './shown.ts';

/** Most tables, views, triggers and indexes a file may hold, and most that are named. */
const MOST_OBJECTS = 1_000;
const MOST_NAMED = 20;
/** Most migrations that are read: a version has one for each change of its schema. */
const MOST_MIGRATIONS = 1_000;

/** A file that was found to be a record, open for reading. */
export type Source = {
  readonly db: Db;
  /** how many of our migrations it holds, and when each was applied, ms since epoch */
  readonly appliedMs: readonly number[];
  readonly columns: Columns;
  /** what it holds besides the tables of a record, in words; none of it is read */
  readonly strange: readonly string[];
};

/**
 * Opens a file that somebody handed over, without trusting it: nothing in its schema is run, only the tables of a
 * record are read, and no more of it than that is checked.
 * @param file a copy in a folder of our own; `named` is what messages call it
 * @throws Fault `bad-backup` when it is no record, damaged, or of another version
 */
export function openSource({ file, named }: { file: string; named: string }): Source {
  let db: Db | null = null;
  try {
    checkHead(file, named);
    db = new Database(file, { readonly: true, fileMustExist: true });
    distrust(db);
    return { db, ...recordIn(db, named) };
  } catch (cause) {
    db?.close();
    throw unfitBy(cause, named);
  }
}

/** What the database says of a file as a fault. A fault stays as it is, and so does a mistake of our own. */
export function unfitBy(cause: unknown, named: string): unknown {
  if (!(cause instanceof Database.SqliteError)) return cause;
  return unfit(named, isDamage(cause) ? `it is damaged (${cause.message})` : cause.message, cause);
}

export function unfit(named: string, why: string, cause?: unknown): Fault {
  const message = `${named} cannot be restored: ${why}. Nothing was changed; try another backup.`;
  return new Fault({ code: 'bad-backup', message, cause });
}

/** better-sqlite3 opens every file in defensive mode; the rest is up to us. */
function distrust(db: Db): void {
  db.pragma('trusted_schema = OFF');
  db.pragma('query_only = ON');
  db.pragma('cell_size_check = ON');
  db.pragma('ignore_check_constraints = ON');
  db.pragma('mmap_size = 0');
}

const HEAD_BYTES = 100;
const MAGIC = 'SQLite format 3\0';

/** @source SQLite, Database File Format, section 1.3 */
function checkHead(file: string, named: string): void {
  const head = Buffer.alloc(HEAD_BYTES);
  const fd = openSync(file, 'r');
  let size: number;
  try {
    size = fstatSync(fd).size;
    readSync(fd, head, 0, HEAD_BYTES, 0);
  } finally {
    closeSync(fd);
  }
  if (size < HEAD_BYTES || head.toString('latin1', 0, MAGIC.length) !== MAGIC)
    throw unfit(named, 'it is no SQLite database');
  const pageBytes = head.readUInt16BE(16) === 1 ? 65_536 : head.readUInt16BE(16);
  const counted = head.readUInt32BE(24) === head.readUInt32BE(92);
  if (counted && head.readUInt32BE(28) * pageBytes > size)
    throw unfit(named, 'it is damaged (it is cut off)');
  const application = head.readUInt32BE(68);
  if (application !== 0 && application !== APPLICATION_ID)
    throw unfit(named, 'it is no record of Strikewell, but of another program');
}

type Entry = { readonly type: string; readonly name: string; readonly isPlain: number };

function recordIn(db: Db, named: string): Omit<Source, 'db'> {
  const entries = entriesIn(db, named);
  const plain = new Set(entries.flatMap(({ isPlain, name }) => (isPlain === 1 ? [name] : [])));
  if (!plain.has('migration') || !plain.has('probe')) throw unfit(named, 'it is no record of Strikewell');
  const migrations = readMigrations();
  const appliedMs = appliedIn(db, { migrations, named });
  const columns = columnsMadeBy(migrations.slice(0, appliedMs.length));
  const strange = entries.filter((entry) => !isOurs(entry, columns)).map(wordsOf);
  for (const [table, names] of columns) {
    if (!plain.has(table)) throw unfit(named, `it is altered: the table ${table} is not there`);
    strange.push(...strangeColumns(db, { table, names, named }));
    const said = String(db.pragma(`quick_check("${table}")`, { simple: true }));
    if (said !== 'ok') throw unfit(named, `it is damaged (${said.replaceAll('\n', ' ').slice(0, 200)})`);
  }
  return { appliedMs, columns, strange: few(strange) };
}

function entriesIn(db: Db, named: string): Entry[] {
  const entries = db
    .prepare<[number], Entry>(
      // a virtual table has no page of its own
      `SELECT substr(type, 1, 20) AS type, substr(name, 1, 200) AS name,
         type = 'table' AND rootpage > 0 AND sql NOT LIKE 'CREATE VIRTUAL%' AS isPlain
       FROM sqlite_schema LIMIT ?`,
    )
    .all(MOST_OBJECTS + 1);
  if (entries.length > MOST_OBJECTS) throw unfit(named, `it holds more than ${MOST_OBJECTS} tables`);
  return entries;
}

/** Indexes are made again, and those of our tables are known by their names. */
function isOurs({ type, name }: Entry, columns: Columns): boolean {
  if (name.startsWith('sqlite_')) return true;
  return type === 'table' ? columns.has(name) : type === 'index' && columns.indexes.has(name);
}

function wordsOf({ type, name, isPlain }: Entry): string {
  const kind = type === 'table' && isPlain === 0 ? 'virtual table' : type;
  return `the ${shown(kind)} ${shown(name)}`.replaceAll('"', '');
}

type Applied = { readonly version: number; readonly checksum: string; readonly atMs: number };

function appliedIn(
  db: Db,
  { migrations, named }: { migrations: readonly Migration[]; named: string },
): number[] {
  const rows = db
    .prepare<[number], Applied & { readonly name: string }>(
      `SELECT version, substr(name, 1, 60) AS name, substr(checksum, 1, 100) AS checksum, applied_ms AS atMs
       FROM migration NOT INDEXED LIMIT ?`,
    )
    .all(MOST_MIGRATIONS);
  const unknown = rows.find(
    ({ version, checksum }, i) => migrations[i]?.version !== version || migrations[i]?.checksum !== checksum,
  );
  if (unknown !== undefined)
    throw unfit(named, `it comes from a newer or altered version (${shown(unknown.name)})`);
  if (rows.length === 0) throw unfit(named, 'it is no record of Strikewell');
  return rows.map(({ atMs }) => Number(atMs));
}

type Table = { readonly table: string; readonly names: readonly string[]; readonly named: string };

function strangeColumns(db: Db, { table, names, named }: Table): string[] {
  // generated columns are hidden, and would be computed by what the file says
  const found = db
    .prepare<[string], { name: string; hidden: number }>(
      'SELECT substr(name, 1, 200) AS name, hidden FROM pragma_table_xinfo(?)',
    )
    .all(table);
  const stored = new Set(found.flatMap(({ name, hidden }) => (hidden === 0 ? [name] : [])));
  const missing = names.find((name) => !stored.has(name));
  if (missing !== undefined) throw unfit(named, `it is altered: the table ${table} has no column ${missing}`);
  return found
    .filter(({ name }) => !names.includes(name))
    .map(({ name }) => `the column ${shown(name).replaceAll('"', '')} of ${table}`);
}

function few(words: readonly string[]): string[] {
  if (words.length <= MOST_NAMED) return [...words];
  return [...words.slice(0, MOST_NAMED), `${words.length - MOST_NAMED} more`];
}

/** The rows of a table, by columns that are known to be there; what is too long is cut, and so found to be too long. */
export function rowsOf(db: Db, table: string, columns: readonly string[]): IterableIterator<unknown> {
  const each = columns.map((name) => `${bounded(name)} AS "${name}"`).join(', ');
  return db.prepare(`SELECT ${each} FROM "${table}" NOT INDEXED`).iterate();
}

const MOST_CELL_BYTES = MOST_TEXT_BYTES * 16;

function bounded(name: string): string {
  const cut = (most: number) =>
    `iif(octet_length("${name}") > ${most}, substr("${name}", 1, ${most + 1}), "${name}")`;
  return `iif(typeof("${name}") = 'text', ${cut(MOST_TEXT_BYTES)}, ${cut(MOST_CELL_BYTES)})`;
}
