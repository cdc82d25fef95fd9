import Database from 'better-sqlite3';
import { invariant } from '../../../../shared/faults.ts';
import type { RestoredRows, RowRemark } from '../../../domain/backups/restored.ts';
import { readTargets } from '../../../domain/places/default-targets.ts';
import type { Db } from '../database.ts';
import { checkRow, type Row, type RowCheck, type RowContext } from './row-check.ts';
import { shown } from './shown.ts';
import { rowsOf } from './source.ts';
import { RESTORED_TABLES, type RestoredTable } from './tables.ts';

/** Most rows that are named one by one. */
export const MOST_REMARKS = 1_000;

type Filled = { readonly tables: readonly RestoredRows[]; readonly remarks: readonly RowRemark[] };
type Filling = { readonly from: Db; readonly into: Db; readonly context: RowContext };

/**
 * Copies the rows that pass their checks, table by table, into a record that was just made.
 * @param onRow called after each row
 */
export function fillRecord({ from, into, context }: Filling, onRow: () => void): Filled {
  const remarks: RowRemark[] = [];
  const tables = RESTORED_TABLES.map((one) => fillTable(one, { from, into, context, onRow, remarks }));
  into.exec(RECOUNTED);
  const given = placesGivenTargets(into, context);
  remarks.push(...given);
  return {
    tables: tables.map((one) => (one.table === 'targets' ? withGiven(one, given.length) : one)),
    remarks,
  };
}

/** A place without any targets would keep the daemon from starting: it is given those of a place nobody has set up. */
function placesGivenTargets(into: Db, { places, targets, nowMs }: RowContext): RowRemark[] {
  const put = into.prepare('INSERT INTO targets (place_id, from_ms, entered_ms, body) VALUES (?, 0, ?, ?)');
  const [first] = readTargets(['']);
  const body = JSON.stringify(first?.targets);
  const without = [...places].filter((placeId) => !targets.has(placeId));
  for (const placeId of without) put.run(placeId, nowMs, body);
  const why = 'the place had no targets, so it has those of a new place';
  return without.map((placeId) => ({ table: 'targets', row: shown(placeId), kind: 'changed', why }));
}

function withGiven(rows: RestoredRows, given: number): RestoredRows {
  return { ...rows, copied: rows.copied + given, changed: rows.changed + given };
}

type TableFilling = Filling & { readonly onRow: () => void; readonly remarks: RowRemark[] };

function fillTable({ table, rows, check }: RestoredTable, filling: TableFilling): RestoredRows {
  const { from, into, context, onRow, remarks } = filling;
  const columns = Object.keys(check.columns);
  const put = insertInto(into, { table, columns });
  const counts = { copied: 0, changed: 0, leftOut: 0 };
  const remark = (row: Row, what: Pick<RowRemark, 'kind' | 'why'>) => {
    counts[what.kind === 'left-out' ? 'leftOut' : 'changed'] += 1;
    if (remarks.length < MOST_REMARKS) remarks.push({ table, row: nameOf(row, check), ...what });
  };
  for (const found of rowsOf(from, table, columns)) {
    onRow();
    const row = found as Row;
    const checked = counts.copied + counts.leftOut;
    const verdict =
      checked < (check.most ?? Number.POSITIVE_INFINITY) ? checkRow(row, check, context) : TOO_MANY;
    if ('madeAgain' in verdict) continue;
    const refusal = 'leftOut' in verdict ? verdict.leftOut : put(verdict.row);
    if (refusal !== null) {
      remark(row, { kind: 'left-out', why: refusal });
    } else if ('row' in verdict) {
      counts.copied += 1;
      check.copied?.(verdict.row, context);
      if (verdict.changed !== undefined) remark(row, { kind: 'changed', why: verdict.changed });
    }
  }
  return { table, rows, ...counts };
}

const TOO_MANY = { leftOut: 'there are more than can be used' } as const;

/** @returns what inserts a row, and says why the database refuses it */
export function insertInto(into: Db, { table, columns }: { table: string; columns: readonly string[] }) {
  const names = columns.map((name) => `"${name}"`).join(', ');
  const put = into.prepare(`INSERT INTO "${table}" (${names}) VALUES (${columns.map(() => '?').join(', ')})`);
  return (row: Row): string | null => {
    try {
      put.run(...columns.map((name) => row[name]));
      return null;
    } catch (cause) {
      if (cause instanceof Database.SqliteError) {
        const why = Object.entries(CONSTRAINTS).find(([code]) => cause.code.startsWith(code));
        if (why !== undefined) return why[1];
      }
      throw cause;
    }
  };
}

const CONSTRAINTS: Readonly<Record<string, string>> = {
  SQLITE_CONSTRAINT_FOREIGNKEY: 'what it belongs to is not there',
  SQLITE_CONSTRAINT_UNIQUE: 'there is another of the same name or number',
  SQLITE_CONSTRAINT_PRIMARYKEY: 'there is another of the same name or number',
  SQLITE_CONSTRAINT_ROWID: 'there is another of the same name or number',
  SQLITE_CONSTRAINT: 'a value does not fit its column',
  SQLITE_MISMATCH: 'a value does not fit its column',
};

/** What waiting devices hold is what came over of it. */
const RECOUNTED = `
  UPDATE waiting_device SET
    dropped = dropped + max(0, packs - (SELECT count(*) FROM waiting_pack AS p WHERE p.device = waiting_device.device)),
    packs = (SELECT count(*) FROM waiting_pack AS p WHERE p.device = waiting_device.device),
    bytes = (SELECT ifnull(sum(length(payload)), 0) FROM waiting_pack AS p WHERE p.device = waiting_device.device)`;

function nameOf(row: Row, { key }: RowCheck): string {
  return key.map((column) => shown(row[column])).join(' ');
}

/** Numbers that were given once are not given again, whatever was removed or left out since. */
export function keepCounters(from: Db, into: Db): void {
  const counters = into.prepare<[number, string]>(
    'UPDATE sqlite_sequence SET seq = max(seq, ?) WHERE name = ?',
  );
  const start = into.prepare<[string, string]>(
    'INSERT INTO sqlite_sequence (name, seq) SELECT ?, 0 WHERE NOT EXISTS (SELECT 1 FROM sqlite_sequence WHERE name = ?)',
  );
  const counted = from.prepare<[string], unknown>('SELECT seq FROM sqlite_sequence WHERE name = ?').pluck();
  const tables = into
    .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table' AND sql LIKE '%AUTOINCREMENT%'")
    .pluck()
    .all();
  for (const table of tables) {
    const last = counted.get(table);
    if (typeof last !== 'number' || !Number.isSafeInteger(last) || last < 1 || last > MAX_COUNTER) continue;
    start.run(table, table);
    counters.run(last, table);
  }
}

/** A file that says more would leave no numbers. */
const MAX_COUNTER = 2 ** 48;

/** Ends at once where the list of columns and the schema differ: a column would be lost in silence. */
export function requireAllListed(columns: ReadonlyMap<string, readonly string[]>): void {
  for (const { table, check } of RESTORED_TABLES) {
    const listed = Object.keys(check.columns).toSorted();
    const made = [...(columns.get(table) ?? [])].toSorted();
    invariant(
      listed.join() === made.join(),
      `the columns of ${table} that a restore copies are ${listed.join()}; there are ${made.join()}`,
    );
  }
}
