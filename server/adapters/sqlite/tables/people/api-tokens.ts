import type { ApiTokenRecord, KeptApiToken } from '../../../../ports.ts';
import type { Db } from '../../database.ts';
import { refusing } from '../../refusing.ts';

const COLUMNS = 'id, name, scope, created_ms AS createdMs';

/** Tokens of programs that read, in SQLite. */
export function apiTokensIn(db: Db): ApiTokenRecord {
  const all = db.prepare<[], KeptApiToken>(`SELECT ${COLUMNS} FROM api_token ORDER BY id`);
  const by = db.prepare<[string], KeptApiToken>(`SELECT ${COLUMNS} FROM api_token WHERE fingerprint = ?`);
  const add = db.prepare<[string, string, string, number], KeptApiToken>(
    `INSERT INTO api_token (name, scope, fingerprint, created_ms) VALUES (?, ?, ?, ?) RETURNING ${COLUMNS}`,
  );
  const remove = db.prepare<[number]>('DELETE FROM api_token WHERE id = ?');
  return {
    apiTokens: () => refusing(() => all.all()),
    apiTokenBy: (fingerprint) => refusing(() => by.get(fingerprint)) ?? null,
    addApiToken({ name, scope, fingerprint, createdMs }) {
      const row = refusing(() => add.get(name, scope, fingerprint, createdMs));
      if (!row) throw new Error('the database returned no row for a new token');
      return row;
    },
    removeApiToken: (id) => void refusing(() => remove.run(id)),
  };
}
