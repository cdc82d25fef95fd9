import Database from 'better-sqlite3';
import { hasTable, migrationsIn } from './check.ts';

/**
 * The keys in a record that was set aside, read without changing it.
 * @param madeMs when the record in use was begun, ms since epoch: keys of another installation are not its own
 * @returns by name; none when it is another's, damaged, or from before keys lay in records
 */
export function keysInAside(file: string, madeMs: number | null): ReadonlyMap<string, string> {
  let db: Database.Database | null = null;
  try {
    db = new Database(file, { readonly: true, fileMustExist: true });
    if (madeMs === null || !hasTable(db, 'installation_key') || migrationsIn(db).madeMs !== madeMs)
      return new Map();
    const rows = db
      .prepare<[], { name: string; value: string }>('SELECT name, value FROM installation_key')
      .all();
    return new Map(rows.map(({ name, value }) => [name, value]));
  } catch {
    // whatever cannot be read holds no key
    return new Map();
  } finally {
    db?.close();
  }
}
