import Database from 'better-sqlite3';
import { decodeGroup } from '../../../domain/seal/group.ts';
import { readMigrations } from '../database.ts';
import { hasTable, migrationsIn } from './check.ts';
import { defaultedIn } from './defaulted.ts';

/** Groups of readings not sealed yet that are looked through for the newest reading. */
const NEWEST_GROUPS = 20_000;

export type RecordFacts = {
  /** when the record was begun, ms since epoch, or null */
  readonly madeMs: number | null;
  readonly migrations: { readonly applied: number; readonly known: number; readonly unknown: string | null };
  readonly counts: {
    readonly places: number;
    readonly probes: number;
    readonly sealedReadings: number;
    readonly openGroups: number;
    readonly alarms: number;
    readonly refusedKept: number;
  };
  readonly newestMs: number | null;
  /** before this, ms since epoch, minutes stand in for readings; null while none were dropped */
  readonly readingsFromMs: number | null;
  /** settings that were out of range, so that their defaults hold; in words */
  readonly defaulted: readonly string[];
};

/** When a record was made, ms since epoch; null where it does not say. Reads next to nothing of it, however long it is. */
export function recordMadeMs(file: string): number | null {
  const db = new Database(file, { readonly: true, fileMustExist: true });
  try {
    return migrationsIn(db).madeMs;
  } finally {
    db.close();
  }
}

/** What is in a record, read without changing it, also beside a daemon that writes it. */
export function inspectRecord(file: string): RecordFacts {
  const db = new Database(file, { readonly: true, fileMustExist: true });
  try {
    return db.transaction(() => factsIn(db))();
  } finally {
    db.close();
  }
}

function factsIn(db: Database.Database): RecordFacts {
  const number = (sql: string) => db.prepare<[], number | null>(sql).pluck().get() ?? 0;
  const { applied, unknown, madeMs } = migrationsIn(db);
  const sealed = hasTable(db, 'sealed');
  return {
    madeMs,
    migrations: { applied, unknown, known: readMigrations().length },
    counts: {
      places: number('SELECT count(*) FROM place'),
      probes: number('SELECT count(*) FROM probe'),
      sealedReadings: sealed ? number("SELECT sum(count) FROM sealed WHERE substr(block, 1, 1) = x'01'") : 0,
      openGroups: sealed ? number('SELECT count(*) FROM journal') : 0,
      alarms: number('SELECT count(*) FROM alarm'),
      refusedKept: number('SELECT count(*) FROM refused'),
    },
    newestMs: sealed ? newestIn(db) : null,
    readingsFromMs: hasTable(db, 'horizon') ? horizonIn(db) : null,
    defaulted: defaultedIn(db),
  };
}

function horizonIn(db: Database.Database): number | null {
  return db.prepare<[], number>('SELECT dropped_hour * 3600000 FROM horizon').pluck().get() ?? null;
}

function newestIn(db: Database.Database): number | null {
  const sealed = db
    .prepare<[], number | null>(
      `SELECT max(newest) FROM (SELECT (SELECT last_ms FROM sealed WHERE probe_id = probe.id
         ORDER BY hour DESC LIMIT 1) AS newest FROM probe)`,
    )
    .pluck()
    .get();
  const groups = db
    .prepare<[number], Uint8Array>('SELECT body FROM journal ORDER BY id DESC LIMIT ?')
    .pluck()
    .all(NEWEST_GROUPS);
  const open = groups.flatMap((body) => decodeGroup(body).map(({ tMs }) => tMs));
  const newest = open.reduce((max, tMs) => Math.max(max, tMs), sealed ?? Number.NEGATIVE_INFINITY);
  return newest === Number.NEGATIVE_INFINITY ? null : newest;
}
