import { rmSync } from 'node:fs';
import Database from 'better-sqlite3';
import { invariant } from '../../../../shared/faults.ts';
import type { RestoreProgress, RestoreReport, RowRemark } from '../../../domain/backups/restored.ts';
import { type Db, migrate, openDatabase, readMigrations } from '../database.ts';
import { damageIn } from '../file/check.ts';
import { fillRecord, insertInto, keepCounters, MOST_REMARKS, requireAllListed } from './fill.ts';
import { columnsMadeBy } from './made-schema.ts';
import { emptyContext, MAX_TIME_MS, type Row } from './row-check.ts';
import { shown } from './shown.ts';
import { openSource, rowsOf, type Source, unfit, unfitBy } from './source.ts';
import { NOT_RESTORED, RESTORED_TABLES } from './tables.ts';

type Restoring = {
  /** a copy of the backup in a folder of our own; it is not changed */
  readonly from: string;
  /** where the new record goes; must not exist. After a failure what is there is worth nothing */
  readonly to: string;
  /** what messages call the backup */
  readonly named: string;
  readonly nowMs: number;
  readonly onProgress: (progress: RestoreProgress) => void;
};

/** A new record may be so many times as large as the backup, and so much more. */
const MOST_TIMES = 4;
const MOST_MORE_BYTES = 16 * 1024 * 1024;
/** A clock may be behind the one that made the backup by so much. */
const CLOCK_BEHIND_MS = 86_400_000;

/**
 * Makes a new record of what a backup holds. The backup is only read: what passes the checks is copied row by row into
 * a database of our own making, and brought to this version there. Nothing of its schema comes along.
 * @returns what was copied, changed and left out, table by table
 * @throws Fault `bad-backup` when it is no record, damaged, or of a newer version
 */
export function restoreRecord(restoring: Restoring): RestoreReport {
  const { from, named, onProgress } = restoring;
  onProgress({ phase: 'checking', pct: 0 });
  const source = openSource({ file: from, named });
  try {
    requireClock(source, restoring);
    return filled(source, restoring);
  } catch (cause) {
    throw unfitBy(cause, named);
  } finally {
    source.db.close();
  }
}

/** With a clock that is behind, the newest readings would be taken for readings of the future. */
function requireClock({ appliedMs }: Source, { named, nowMs }: Restoring): void {
  const newestMs = Math.max(...appliedMs.filter((atMs) => atMs <= MAX_TIME_MS));
  if (newestMs <= nowMs + CLOCK_BEHIND_MS) return;
  const [now, made] = [nowMs, newestMs].map((atMs) => new Date(atMs).toISOString().slice(0, 10));
  throw unfit(
    named,
    `by the clock of this computer it is ${now}, before it was made on ${made}: set the clock`,
  );
}

function filled(source: Source, { to, nowMs, onProgress }: Restoring): RestoreReport {
  const migrations = readMigrations();
  const isOld = source.appliedMs.length < migrations.length;
  const older = `${to}.older`;
  const lost: RowRemark[] = [];
  try {
    const from = isOld ? broughtUpToDate(source, { file: older, nowMs, onProgress, lost }) : source.db;
    const into = openNew({ file: to, nowMs, mostBytes: bytesOf(source.db) * MOST_TIMES + MOST_MORE_BYTES });
    try {
      requireAllListed(columnsMadeBy(migrations));
      const onRow = counting(
        from,
        RESTORED_TABLES.map(({ table }) => table),
        (pct) => onProgress({ phase: 'restoring', pct }),
      );
      const context = emptyContext(nowMs);
      const { tables, remarks } = into.transaction(() => fillRecord({ from, into, context }, onRow))();
      keepCounters(source.db, into);
      keepTimes(source, into);
      const damage = damageIn(into, 'quick');
      invariant(damage === null, `a record that was just made is damaged: ${damage}`);
      into.pragma('journal_mode = DELETE');
      const lostOf = (table: string) => lost.filter((one) => one.table === table).length;
      return {
        version: { applied: source.appliedMs.length, known: migrations.length },
        tables: tables.map((one) => ({ ...one, leftOut: one.leftOut + lostOf(one.table) })),
        remarks: [...lost, ...remarks],
        strange: source.strange,
      };
    } finally {
      into.close();
      if (from !== source.db) from.close();
    }
  } finally {
    rmSync(older, { force: true });
  }
}

function bytesOf(db: Db): number {
  return Number(db.pragma('page_count', { simple: true })) * Number(db.pragma('page_size', { simple: true }));
}

/** A record that nobody uses yet, so that nothing is lost if the machine stops: it has its name only once it is on the disk. */
function openNew({ file, nowMs, mostBytes }: { file: string; nowMs: number; mostBytes: number }): Db {
  const db = openDatabase({ file, nowMs });
  unguarded(db);
  db.pragma(`max_page_count = ${Math.ceil(mostBytes / Number(db.pragma('page_size', { simple: true })))}`);
  return db;
}

function unguarded(db: Db): void {
  db.pragma('journal_mode = MEMORY');
  db.pragma('synchronous = OFF');
}

type Older = {
  readonly file: string;
  readonly nowMs: number;
  readonly onProgress: Restoring['onProgress'];
  readonly lost: RowRemark[];
};

/** The rows of an older record in a database of our own making, which is then migrated: nothing of the file can run. */
function broughtUpToDate(source: Source, { file, nowMs, onProgress, lost }: Older): Db {
  rmSync(file, { force: true });
  const db = new Database(file);
  try {
    unguarded(db);
    const migrations = readMigrations();
    migrate(db, { nowMs, migrations: migrations.slice(0, source.appliedMs.length), backup: null });
    db.pragma('foreign_keys = OFF');
    const tables = [...source.columns].filter(([table]) => !Object.hasOwn(NOT_RESTORED, table));
    const onRow = counting(
      source.db,
      tables.map(([table]) => table),
      (pct) => onProgress({ phase: 'updating', pct }),
    );
    db.transaction(() => {
      for (const [table, columns] of tables) {
        const put = insertInto(db, { table, columns });
        for (const row of rowsOf(source.db, table, columns)) {
          onRow();
          const why = put(row as Row);
          if (why !== null && lost.length < MOST_REMARKS)
            lost.push({ table, row: shown(Object.values(row as Row)[0]), kind: 'left-out', why });
        }
      }
    })();
    keepCounters(source.db, db);
    migrate(db, { nowMs, migrations, backup: null });
    return db;
  } catch (cause) {
    db.close();
    throw cause;
  }
}

/** Reports how many per cent of the rows of some tables were checked, at each whole one. */
function counting(db: Db, tables: readonly string[], report: (pct: number) => void): () => void {
  const total = tables.reduce(
    (sum, table) => sum + (db.prepare<[], number>(`SELECT count(*) FROM "${table}"`).pluck().get() ?? 0),
    0,
  );
  let done = 0;
  let lastSent = 0;
  report(0);
  return () => {
    done += 1;
    const pct = Math.min(100, Math.floor((done / total) * 100));
    if (pct > lastSent) report(pct);
    lastSent = Math.max(lastSent, pct);
  };
}

/** When each migration was applied: by the first, keys that were set aside are known to be this installation's. */
function keepTimes({ appliedMs }: Source, into: Db): void {
  const keep = into.prepare<[number, number]>('UPDATE migration SET applied_ms = ? WHERE version = ?');
  const versions = readMigrations();
  for (const [i, atMs] of appliedMs.entries()) {
    const version = versions[i]?.version;
    if (version !== undefined && Number.isSafeInteger(atMs) && Math.abs(atMs) <= MAX_TIME_MS)
      keep.run(atMs, version);
  }
}
