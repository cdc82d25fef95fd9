import type { KeptPasskey, PasskeyRecord } from '../../../../ports.ts';
import type { Db } from '../../database.ts';
import { refusing } from '../../refusing.ts';

type Row = Omit<KeptPasskey, 'transports'> & { readonly transports: string };
type NewRow = Omit<Row, 'id' | 'usedMs'>;

const COLUMNS = `id, account_id AS accountId, name, credential, public_key AS publicKey, counter, transports, host,
  created_ms AS createdMs, used_ms AS usedMs`;

/** Passkeys of accounts, in SQLite. */
export function passkeysIn(db: Db): PasskeyRecord {
  const all = db.prepare<[], Row>(`SELECT ${COLUMNS} FROM passkey ORDER BY id`);
  const ofAccount = db.prepare<[number], Row>(
    `SELECT ${COLUMNS} FROM passkey WHERE account_id = ? ORDER BY id`,
  );
  const add = db.prepare<NewRow, Row>(
    `INSERT INTO passkey (account_id, name, credential, public_key, counter, transports, host, created_ms)
     VALUES (@accountId, @name, @credential, @publicKey, @counter, @transports, @host, @createdMs)
     RETURNING ${COLUMNS}`,
  );
  const use = db.prepare<[number, number, number]>(
    'UPDATE passkey SET counter = ?, used_ms = ? WHERE id = ?',
  );
  const remove = db.prepare<[number]>('DELETE FROM passkey WHERE id = ?');
  return {
    passkeys: () => refusing(() => all.all()).map(passkeyOf),
    passkeysOf: (accountId) => refusing(() => ofAccount.all(accountId)).map(passkeyOf),
    addPasskey(passkey) {
      const row = refusing(() => add.get({ ...passkey, transports: JSON.stringify(passkey.transports) }));
      if (!row) throw new Error('the database returned no row for a new passkey');
      return passkeyOf(row);
    },
    usedPasskey: ({ id, counter, usedMs }) => void refusing(() => use.run(counter, usedMs, id)),
    removePasskey: (id) => void refusing(() => remove.run(id)),
  };
}

function passkeyOf({ transports, ...row }: Row): KeptPasskey {
  const list: unknown = JSON.parse(transports);
  const texts = Array.isArray(list) ? list.filter((one) => typeof one === 'string') : [];
  return { ...row, transports: texts };
}
