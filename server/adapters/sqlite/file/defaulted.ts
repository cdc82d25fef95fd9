import Database from 'better-sqlite3';
import { readEscalation } from '../../../../shared/model/people/people.ts';
import { readWeeklyTest } from '../../../../shared/model/people/weekly-test.ts';
import { readPlaceSettings } from '../../../../shared/model/place.ts';
import { readTargets } from '../../../domain/places/default-targets.ts';
import { hasTable } from './check.ts';

/** Most of them that are named. */
const MAX_NAMED = 20;

/** Settings in a record that are out of range or unreadable, so that their defaults hold; in words. */
export function defaultedIn(db: Database.Database): string[] {
  return [...placeSettings(db), ...targets(db), ...houseSettings(db)].slice(0, MAX_NAMED);
}

/** The same of a record file that a daemon may write meanwhile. */
export function defaultedSettings(file: string): string[] {
  const db = new Database(file, { readonly: true, fileMustExist: true });
  try {
    return defaultedIn(db);
  } finally {
    db.close();
  }
}

function placeSettings(db: Database.Database): string[] {
  const rows = db.prepare<[], { id: string; settings: string }>('SELECT id, settings FROM place').all();
  return rows.flatMap(({ id, settings }) =>
    readPlaceSettings(settings).defaulted.map((name) => `${name} of the place "${id}"`),
  );
}

function targets(db: Database.Database): string[] {
  const rows = db
    .prepare<[], { id: string; body: string }>('SELECT place_id AS id, body FROM targets ORDER BY id')
    .all();
  const ofPlaces = [...Map.groupBy(rows, ({ id }) => id)];
  return ofPlaces.flatMap(([id, edits]) => {
    const wrong = readTargets(edits.map(({ body }) => body)).filter(({ defaulted }) => defaulted).length;
    return wrong === 0 ? [] : [`${wrong} of the targets of the place "${id}"`];
  });
}

function houseSettings(db: Database.Database): string[] {
  const bodyIn = (table: 'ladder' | 'weekly_test') =>
    hasTable(db, table)
      ? (db.prepare<[], string | null>(`SELECT body FROM ${table}`).pluck().get() ?? null)
      : null;
  const [escalation, weekly] = [bodyIn('ladder'), bodyIn('weekly_test')];
  return [
    ...(escalation !== null && readEscalation(escalation).defaulted ? ['who gets called'] : []),
    ...(weekly !== null && readWeeklyTest(weekly).defaulted ? ['the weekly test'] : []),
  ];
}
