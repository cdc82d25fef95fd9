import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { Fault } from '../../../shared/faults.ts';

export type Db = Database.Database;

/** Size of a page of a new file, and of the write-ahead log at which it is carried into the file. */
const PAGE_BYTES = 512;
const CHECKPOINT_BYTES = 4 * 1024 * 1024;
/** Pages held in memory, a good day of the journal: better-sqlite3 would hold 16,000 KiB of them. */
const CACHE_KIB = 2_000;

/** What marks a file as a record of Strikewell; records of before it was written hold 0 there, until their next migration. */
export const APPLICATION_ID = 0x5374726b;

/** What the name of the copy that is made before a migration ends in, with the time behind it. */
const BEFORE_MIGRATION = '.before-migration';

const MIGRATIONS = new URL('./migrations/', import.meta.url);

export type Migration = {
  readonly version: number;
  readonly name: string;
  readonly sql: string;
  readonly checksum: string;
};

/**
 * Opens the database file, durable at every commit, and brings it to the newest migration.
 * An existing file is backed up beside itself before a migration touches it.
 * @param migrations those of this version unless others are given
 * @throws Fault `store-failed` when the file cannot be opened, is damaged, or comes from a newer version
 */
export function openDatabase({
  file,
  nowMs,
  migrations = readMigrations(),
}: {
  file: string;
  nowMs: number;
  migrations?: readonly Migration[];
}): Db {
  const existed = existsSync(file);
  let db: Db | null = null;
  try {
    db = new Database(file);
    // small pages: a commit of one pack then writes half a kilobyte, which spares flash
    db.pragma(`page_size = ${PAGE_BYTES}`);
    db.pragma('journal_mode = WAL');
    db.pragma(`wal_autocheckpoint = ${CHECKPOINT_BYTES / PAGE_BYTES}`);
    // a reopened WAL database would run at NORMAL and could lose what was acknowledged
    db.pragma('synchronous = FULL');
    db.pragma('foreign_keys = ON');
    db.pragma(`cache_size = -${CACHE_KIB}`);
    const backup = existed ? `${file}${BEFORE_MIGRATION}` : null;
    migrate(db, { nowMs, migrations, backup, goBack: () => goBackLine(file, migrations) });
    return db;
  } catch (cause) {
    db?.close();
    if (cause instanceof Fault) throw cause;
    const why = cause instanceof Error ? cause.message : String(cause);
    const message = `The database ${file} cannot be used: ${why}. Nothing was changed in it.`;
    throw new Fault({ code: 'store-failed', message, cause });
  }
}

/** The newest copy beside a record that was made before a newer version migrated it, and that this version can read. */
function goBackLine(file: string, migrations: readonly Migration[]): string | null {
  const start = `${basename(file)}${BEFORE_MIGRATION}-`;
  const copies = readdirSync(dirname(file))
    .filter((name) => name.startsWith(start) && /^\d+$/.test(name.slice(start.length)))
    .toSorted((a, b) => Number(b.slice(start.length)) - Number(a.slice(start.length)))
    .map((name) => join(dirname(file), name));
  const fitting = copies.find((copy) => isReadBy(copy, migrations));
  if (fitting === undefined) return null;
  return `To go back to this version, with what was stored up to then: strikewell restore "${fitting}" --overwrite`;
}

function isReadBy(copy: string, migrations: readonly Migration[]): boolean {
  try {
    const db = new Database(copy, { readonly: true, fileMustExist: true });
    try {
      const done = db.prepare<[], string>('SELECT checksum FROM migration ORDER BY version').pluck().all();
      return done.length > 0 && done.every((checksum, i) => migrations[i]?.checksum === checksum);
    } finally {
      db.close();
    }
  } catch {
    return false;
  }
}

/** The committed migrations, in order. */
export function readMigrations(): Migration[] {
  return readdirSync(MIGRATIONS)
    .filter((name) => name.endsWith('.sql'))
    .sort()
    .map((name) => {
      const sql = readFileSync(new URL(name, MIGRATIONS), 'utf8');
      return {
        version: Number.parseInt(name, 10),
        name,
        sql,
        checksum: createHash('sha256').update(sql).digest('hex'),
      };
    });
}

type Migrating = {
  /** how to go back to this version, said where the record is of a newer one; null where nobody knows */
  readonly goBack?: () => string | null;
  readonly nowMs: number;
  readonly migrations: readonly Migration[];
  readonly backup: string | null;
};

/** Brings an open database to the newest of the migrations. @throws Fault `store-failed` */
export function migrate(db: Db, { nowMs, migrations, backup, goBack = () => null }: Migrating): void {
  db.exec(`CREATE TABLE IF NOT EXISTS migration (
    version INTEGER PRIMARY KEY, name TEXT NOT NULL, checksum TEXT NOT NULL, applied_ms INTEGER NOT NULL
  ) STRICT`);
  const applied = db.prepare<[], { version: number; name: string; checksum: string }>(
    'SELECT version, name, checksum FROM migration ORDER BY version',
  );
  const done = applied.all();
  done.forEach((row, i) => {
    const known = migrations[i];
    if (known?.version === row.version && known.checksum === row.checksum) return;
    const message =
      `The database holds migration ${row.name}, which this version does not have in that place or form. ` +
      `It comes from a newer or altered version: run that one, or restore a backup. ${goBack() ?? ''}`.trimEnd();
    throw new Fault({ code: 'store-failed', message });
  });
  const missing = migrations.slice(done.length);
  if (missing.length === 0) return;
  if (backup && done.length > 0) db.prepare('VACUUM INTO ?').run(`${backup}-${nowMs}`);
  const record = db.prepare(
    'INSERT INTO migration (version, name, checksum, applied_ms) VALUES (?, ?, ?, ?)',
  );
  for (const { version, name, sql, checksum } of missing) {
    db.transaction(() => {
      db.exec(sql);
      record.run(version, name, checksum, nowMs);
    })();
  }
  db.pragma(`application_id = ${APPLICATION_ID}`);
}
