import Database from 'better-sqlite3';
import { Fault } from '../../../../../shared/faults.ts';
import type { AccessRecord, KeptAccount, KeptDeviceLogin, KeptSession } from '../../../../ports.ts';
import type { Db } from '../../database.ts';
import { hasTable } from '../../file/check.ts';
import { refusing } from '../../refusing.ts';
import { devicesIn } from '../devices.ts';
import { accessEventsIn } from './access-events.ts';
import { apiTokensIn } from './api-tokens.ts';
import { passkeysIn } from './passkeys.ts';

const ACCOUNT = 'id, name, role, password, created_ms AS createdMs';
const SESSION = `session.id, account_id AS accountId, name, role, session.created_ms AS createdMs,
  seen_ms AS seenMs, address, agent FROM session JOIN account ON account.id = account_id`;

/** Accounts, sessions and the logins of devices, in SQLite. */
export function sqliteAccess(db: Db): AccessRecord {
  return {
    ...accountsIn(db),
    ...sessionsIn(db),
    ...deviceLoginIn(db),
    ...devicesIn(db),
    ...apiTokensIn(db),
    ...passkeysIn(db),
    ...accessEventsIn(db),
  };
}

/**
 * The accounts of a record beside a daemon that runs on it; nothing else of the record is touched.
 * @throws Fault `store-failed` when it cannot be opened, or the daemon is of a version that knows no accounts
 */
export function openAccessBeside(file: string): { access: AccessRecord; close(): void } {
  return refusing(() => {
    const db = new Database(file, { fileMustExist: true });
    db.pragma('synchronous = FULL');
    db.pragma('foreign_keys = ON');
    if (hasTable(db, 'api_token')) return { access: sqliteAccess(db), close: () => void db.close() };
    db.close();
    const message = 'The daemon that runs is of an older version. Stop it, and give the command again.';
    throw new Fault({ code: 'store-failed', message });
  });
}

function accountsIn(db: Db) {
  const owned = db.prepare<[], number>("SELECT 1 FROM account WHERE role = 'own' LIMIT 1").pluck();
  const all = db.prepare<[], KeptAccount>(`SELECT ${ACCOUNT} FROM account ORDER BY id`);
  const byName = db.prepare<[string], KeptAccount>(`SELECT ${ACCOUNT} FROM account WHERE name = ?`);
  const add = db.prepare<[string, string, string, number], KeptAccount>(
    `INSERT INTO account (name, role, password, created_ms) VALUES (?, ?, ?, ?) RETURNING ${ACCOUNT}`,
  );
  const setPassword = db.prepare<[string, number]>('UPDATE account SET password = ? WHERE id = ?');
  const setRole = db.prepare<[string, number]>('UPDATE account SET role = ? WHERE id = ?');
  const remove = db.prepare<[number]>('DELETE FROM account WHERE id = ?');
  return {
    owned: () => refusing(() => owned.get()) !== undefined,
    accounts: () => refusing(() => all.all()),
    account: (name) => refusing(() => byName.get(name)) ?? null,
    addAccount({ name, role, password, createdMs }) {
      const account = refusing(() => add.get(name, role, password, createdMs));
      if (!account) throw new Error('the database returned no row for a new account');
      return account;
    },
    setPassword: (id, password) => void refusing(() => setPassword.run(password, id)),
    setRole: (id, role) => void refusing(() => setRole.run(role, id)),
    removeAccount: (id) => void refusing(() => remove.run(id)),
  } satisfies Partial<AccessRecord>;
}

function sessionsIn(db: Db) {
  const all = db.prepare<[], KeptSession>(`SELECT ${SESSION} ORDER BY seen_ms DESC, session.id DESC`);
  const byId = db.prepare<[number], KeptSession>(`SELECT ${SESSION} WHERE session.id = ?`);
  const byFingerprint = db.prepare<[string], KeptSession>(`SELECT ${SESSION} WHERE fingerprint = ?`);
  const add = db.prepare<[string, number, number, number, string, string]>(
    'INSERT INTO session (fingerprint, account_id, created_ms, seen_ms, address, agent) VALUES (?, ?, ?, ?, ?, ?)',
  );
  const seen = db.prepare<[number, number]>('UPDATE session SET seen_ms = ? WHERE id = ?');
  const remove = db.prepare<[number]>('DELETE FROM session WHERE id = ?');
  const removeOf = db.prepare<[number, number]>('DELETE FROM session WHERE account_id = ? AND id <> ?');
  return {
    sessions: () => refusing(() => all.all()),
    session: (id) => refusing(() => byId.get(id)) ?? null,
    sessionBy: (fingerprint) => refusing(() => byFingerprint.get(fingerprint)) ?? null,
    addSession({ fingerprint, accountId, createdMs, address, agent }) {
      const row = refusing(() => add.run(fingerprint, accountId, createdMs, createdMs, address, agent));
      return Number(row.lastInsertRowid);
    },
    seen: (id, seenMs) => void refusing(() => seen.run(seenMs, id)),
    removeSession: (id) => void refusing(() => remove.run(id)),
    removeSessionsOf: (accountId, besides) => void refusing(() => removeOf.run(accountId, besides ?? -1)),
  } satisfies Partial<AccessRecord>;
}

function deviceLoginIn(db: Db) {
  const get = db.prepare<[], KeptDeviceLogin>(
    'SELECT name, fingerprint, created_ms AS createdMs FROM device_login',
  );
  const clear = db.prepare('DELETE FROM device_login');
  const put = db.prepare<[string, string, number]>(
    'INSERT INTO device_login (name, fingerprint, created_ms) VALUES (?, ?, ?)',
  );
  const replace = db.transaction(({ name, fingerprint, createdMs }: KeptDeviceLogin) => {
    clear.run();
    put.run(name, fingerprint, createdMs);
  });
  return {
    deviceLogin: () => refusing(() => get.get()) ?? null,
    setDeviceLogin: (login) => void refusing(() => replace.immediate(login)),
  } satisfies Partial<AccessRecord>;
}
