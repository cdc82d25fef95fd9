import Database from 'better-sqlite3';
import { sessionEndMs } from '../../../domain/access/session.ts';
import type { AccessState } from '../../../domain/doctor/access.ts';
import { hasTable } from './check.ts';

type Counts = Pick<
  AccessState,
  'owned' | 'accounts' | 'sessions' | 'sharedLogin' | 'devices' | 'withoutSecret' | 'passkeys' | 'refused'
>;

const DAY_MS = 86_400_000;

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
    ...(hasTable(db, 'passkey') ? signInsIn(db, nowMs) : { passkeys: [], refused: 0 }),
  };
}

/** Passkeys by account, and what was refused in the last 24 h. */
function signInsIn(db: Database.Database, nowMs: number): Pick<Counts, 'passkeys' | 'refused'> {
  const rows = db
    .prepare<[], { account: string; host: string }>(
      `SELECT DISTINCT account.name AS account, host FROM passkey JOIN account ON account.id = account_id
       ORDER BY account.id, host`,
    )
    .all();
  const names = [...new Set(rows.map(({ account }) => account))];
  const hostsOf = (name: string) => rows.flatMap(({ account, host }) => (account === name ? [host] : []));
  const refused = db
    .prepare<[number], number>(
      "SELECT coalesce(sum(count), 0) FROM access_event WHERE class = 'refusal' AND at_ms > ?",
    )
    .pluck()
    .get(nowMs - DAY_MS);
  return { passkeys: names.map((account) => ({ account, hosts: hostsOf(account) })), refused: refused ?? 0 };
}
