import type { Changes, StandIn, Store } from '../../ports.ts';
import { type Db, type Migration, openDatabase } from './database.ts';
import { hasTable } from './file/check.ts';

/** Tables of readings and of what is derived from them: long, and read from the record alone. */
const LEFT_OUT: ReadonlySet<string> = new Set([
  'journal',
  'sealed',
  'set_aside',
  'settled',
  'settled_day',
  'refused',
  'refused_count',
  'migration',
  // those of the record hold on; what memory knows is written with the readings it belongs to
  'handshake',
]);
/** Of long histories the newest rows only. */
const NEWEST: Readonly<Record<string, string>> = {
  diary_entry: 'id IN (SELECT id FROM diary_entry ORDER BY id DESC LIMIT 5000)',
  alarm_event: 'id IN (SELECT id FROM alarm_event ORDER BY id DESC LIMIT 5000)',
  outbox: "state = 'waiting' OR id IN (SELECT id FROM outbox ORDER BY id DESC LIMIT 500)",
};
/** Most memory the stand-in takes, bytes. */
const MOST_BYTES = 64 * 1024 * 1024;
const CHANGED = 'stand_in_changed';

type Row = Readonly<Record<string, unknown>>;
type Table = { readonly name: string; readonly keys: readonly string[] };
type Rows = ReadonlyMap<string, readonly Row[]>;

/**
 * Makes stores in memory that stand in for a record which cannot be written.
 * @param db the record
 * @param storeOn the store on a database
 */
export function standIns(db: Db, migrations: readonly Migration[], storeOn: (db: Db) => Store) {
  let provided: Rows = new Map();
  let asOf: string | null = null;
  return {
    provide() {
      const now = writtenSoFar(db);
      if (now !== null && now === asOf) return;
      provided = readRows(db, provided);
      asOf = now;
    },
    standIn(): StandIn {
      const memory = openDatabase({ file: ':memory:', nowMs: 0, migrations });
      memory.pragma(`max_page_count = ${MOST_BYTES / Number(memory.pragma('page_size', { simple: true }))}`);
      // of a damaged record some rows may be missing that others refer to
      memory.pragma('foreign_keys = OFF');
      fill(memory, readRows(db, provided));
      noteChanges(memory);
      return {
        store: storeOn(memory),
        changes: () => changesIn(memory),
        copied: () => void memory.exec(`DELETE FROM ${CHANGED}`),
      };
    },
  };
}

/** Writes changes into the record, inside the caller's transaction. */
export function takeOver(db: Db, changes: Changes): void {
  // rows of one table may refer to rows of another that come later
  db.pragma('defer_foreign_keys = ON');
  const tables = new Map(tablesOf(db).map((table) => [table.name, table]));
  for (const { table: name, key, row } of changes) {
    const table = tables.get(name);
    if (!table) continue;
    if (row === null) db.prepare(`DELETE FROM "${name}" WHERE ${isKey(table)}`).run(...key);
    else db.prepare(upsert(table, Object.keys(row))).run(...Object.values(row));
  }
}

/** Changes with every write, of this connection or of another; null where it cannot be read. */
function writtenSoFar(db: Db): string | null {
  try {
    const own = db.prepare<[], number>('SELECT total_changes()').pluck().get();
    return `${own} ${db.pragma('data_version', { simple: true })}`;
  } catch {
    return null;
  }
}

/** @param before rows to go on with where a table cannot be read */
function readRows(db: Db, before: Rows): Rows {
  const rows = new Map(before);
  for (const name of [...namesFrom(db, before), 'sqlite_sequence']) {
    try {
      const which = NEWEST[name] ?? '1';
      rows.set(name, db.prepare<[], Row>(`SELECT * FROM "${name}" WHERE ${which}`).all());
    } catch {
      // as it was read last
    }
  }
  return rows;
}

function namesFrom(db: Db, before: Rows): string[] {
  try {
    return namesOf(db);
  } catch {
    return [...before.keys()];
  }
}

function namesOf(db: Db): string[] {
  return db
    .prepare<[], string>(
      "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'",
    )
    .pluck()
    .all()
    .filter((name) => !LEFT_OUT.has(name));
}

function tablesOf(db: Db): Table[] {
  const keysOf = (name: string) =>
    db
      .prepare<[string], string>('SELECT name FROM pragma_table_info(?) WHERE pk > 0 ORDER BY pk')
      .pluck()
      .all(name);
  return namesOf(db).map((name) => ({ name, keys: keysOf(name) }));
}

function fill(memory: Db, rows: Rows): void {
  memory.transaction(() => {
    for (const [name, each] of rows) {
      if (!hasTable(memory, name)) continue;
      memory.exec(`DELETE FROM "${name}"`);
      for (const row of each) memory.prepare(insert(name, Object.keys(row))).run(...Object.values(row));
    }
  })();
}

/** Notes the key of each row that is written from now on. */
function noteChanges(memory: Db): void {
  const tables = tablesOf(memory);
  memory.exec(`CREATE TABLE ${CHANGED} (tbl TEXT, key TEXT, PRIMARY KEY (tbl, key)) WITHOUT ROWID`);
  for (const { name, keys } of tables) {
    for (const [event, row] of [
      ['INSERT', 'NEW'],
      ['UPDATE', 'NEW'],
      ['DELETE', 'OLD'],
    ] as const) {
      const key = `json_array(${keys.map((column) => `${row}."${column}"`).join(', ')})`;
      // what a conflict means is decided by the statement outside, so that none may come up
      memory.exec(`CREATE TRIGGER "changed_${name}_${event}" AFTER ${event} ON "${name}" BEGIN
        INSERT INTO ${CHANGED} SELECT '${name}', ${key}
        WHERE NOT EXISTS (SELECT 1 FROM ${CHANGED} WHERE tbl = '${name}' AND key = ${key});
      END`);
    }
  }
}

function changesIn(memory: Db): Changes {
  const tables = new Map(tablesOf(memory).map((table) => [table.name, table]));
  const noted = memory.prepare<[], { tbl: string; key: string }>(`SELECT tbl, key FROM ${CHANGED}`).all();
  return noted.flatMap(({ tbl, key: text }) => {
    const table = tables.get(tbl);
    if (!table) return [];
    const key = JSON.parse(text) as (string | number)[];
    const row = memory.prepare<unknown[], Row>(`SELECT * FROM "${tbl}" WHERE ${isKey(table)}`).get(...key);
    return [{ table: tbl, key, row: row ?? null }];
  });
}

function isKey({ keys }: Table): string {
  return keys.map((column) => `"${column}" = ?`).join(' AND ');
}

function insert(name: string, columns: readonly string[]): string {
  const quoted = columns.map((column) => `"${column}"`).join(', ');
  return `INSERT INTO "${name}" (${quoted}) VALUES (${columns.map(() => '?').join(', ')})`;
}

function upsert({ name, keys }: Table, columns: readonly string[]): string {
  const key = keys.map((column) => `"${column}"`).join(', ');
  const others = columns.filter((column) => !keys.includes(column));
  const update =
    others.length === 0
      ? 'NOTHING'
      : `UPDATE SET ${others.map((column) => `"${column}" = excluded."${column}"`).join(', ')}`;
  return `${insert(name, columns)} ON CONFLICT (${key}) DO ${update}`;
}
