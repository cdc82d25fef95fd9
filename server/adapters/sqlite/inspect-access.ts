import Database from 'better-sqlite3';
import { sessionEndMs } from '../../domain/access/session.ts';
import type { Standing } from '../../domain/doctor/access.ts';
import { hasTable } from './check.ts';

type Counts = Pick<Standing, 'owned' | 'accounts' | 'sessions' | 'sharedLogin' | 'devices' | 'withoutSecret'>;

/** Counts who may come in, of a record read without changing it; null for one from before there were devices. */
export function inspectAccess(file: string, nowMs: number): Counts | null {
  const db = new Database(file, { readonly: true, fileMustExist: true });
  try {
    return hasTable(db, 'device') ? db.transaction(() => countsIn(db, nowMs))() : null;
  } finally {
    db.close();
  }
}

function countsIn(db: Database.Database, nowMs: number): Counts {
  const number = (sql: string) => db.prepare<[], number>(sql).pluck().get() ?? 0;
  const inState = (state: string) =>
    db.prepare<[string], number>('SELECT count(*) FROM device WHERE state = ?').pluck().get(state) ?? 0;
  const sessions = db
    .prepare<[], { createdMs: number; seenMs: number }>(
      'SELECT created_ms AS createdMs, seen_ms AS seenMs FROM session',
    )
    .all();
  return {
    owned: number("SELECT count(*) FROM account WHERE role = 'own'") > 0,
    accounts: number('SELECT count(*) FROM account'),
    sessions: sessions.filter((session) => nowMs < sessionEndMs(session)).length,
    sharedLogin: number('SELECT count(*) FROM device_login') > 0,
    devices: { enabled: inState('enabled'), disabled: inState('disabled'), retired: inState('retired') },
    withoutSecret: number(
      'SELECT count(DISTINCT device) FROM probe WHERE device NOT IN (SELECT name FROM device)',
    ),
  };
}
