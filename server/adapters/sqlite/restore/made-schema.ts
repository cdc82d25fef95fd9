import Database from 'better-sqlite3';
import { type Migration, migrate } from '../database.ts';

/** The columns of each table that some migrations make, in their order, and the names of the indexes. */
export type Columns = ReadonlyMap<string, readonly string[]> & { readonly indexes: ReadonlySet<string> };

/** What some migrations make, found out by making it. */
export function columnsMadeBy(migrations: readonly Migration[]): Columns {
  const db = new Database(':memory:');
  try {
    migrate(db, { nowMs: 0, migrations, backup: null });
    const named = (type: string) =>
      db
        .prepare<[string], string>(
          "SELECT name FROM sqlite_schema WHERE type = ? AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY rowid",
        )
        .pluck()
        .all(type);
    const columns = db.prepare<[string], string>('SELECT name FROM pragma_table_info(?)').pluck();
    const tables = new Map(named('table').map((table) => [table, columns.all(table)]));
    return Object.assign(tables, { indexes: new Set(named('index')) });
  } finally {
    db.close();
  }
}
