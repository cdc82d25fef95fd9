import Database from 'better-sqlite3';
import { hasTable } from './check.ts';

/** Names of the photos that entries of a record have, deleted entries too; none of a record from before there were any. */
export function photosNamedIn(file: string): string[] {
  const db = new Database(file, { readonly: true, fileMustExist: true });
  try {
    if (!hasTable(db, 'diary_entry')) return [];
    return db
      .prepare<[], string>('SELECT DISTINCT photo FROM diary_entry WHERE photo IS NOT NULL ORDER BY photo')
      .pluck()
      .all();
  } finally {
    db.close();
  }
}
