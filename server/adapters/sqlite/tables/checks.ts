import { checkBodySchema, type KeptCheck } from '../../../../shared/model/probes/check.ts';
import type { Checks, DueCheck } from '../../../ports.ts';
import type { Db } from '../database.ts';

const COLUMNS = 'id, probe_id AS probeId, started_ms AS startedMs, ended_ms AS endedMs, body';

type Row = Omit<KeptCheck, 'body'> & { readonly body: string };

/** Checks of probes in SQLite. @param changed called when the times at which probes were away may have changed */
export function sqliteChecks(db: Db, changed: () => void): Checks {
  const all = db.prepare<[], Row>(`SELECT ${COLUMNS} FROM probe_check ORDER BY id`);
  const one = db.prepare<[number], Row>(`SELECT ${COLUMNS} FROM probe_check WHERE id = ?`);
  const add = db.prepare('INSERT INTO probe_check (probe_id, started_ms, body) VALUES (?, ?, ?)');
  const save = db.prepare('UPDATE probe_check SET ended_ms = ?, body = ? WHERE id = ?');
  const remove = db.prepare('DELETE FROM probe_check WHERE id = ?');
  const due = db.prepare<[], DueCheck>('SELECT probe_id AS probeId, due_ms AS dueMs FROM check_due');
  const setDue = db.prepare('INSERT OR REPLACE INTO check_due (probe_id, due_ms) VALUES (?, ?)');
  const removeDue = db.prepare('DELETE FROM check_due WHERE probe_id = ?');
  return {
    all: () => all.all().map(checkOf),
    one(id) {
      const row = one.get(id);
      return row ? checkOf(row) : null;
    },
    add({ probeId, startedMs, body }) {
      const { lastInsertRowid } = add.run(probeId, startedMs, JSON.stringify(body));
      return { id: Number(lastInsertRowid), probeId, startedMs, endedMs: null, body };
    },
    save({ id, endedMs, body }) {
      save.run(endedMs, JSON.stringify(body), id);
      changed();
    },
    remove(id) {
      remove.run(id);
      changed();
    },
    due: () => due.all(),
    setDue: (probeId, dueMs) => void (dueMs === null ? removeDue.run(probeId) : setDue.run(probeId, dueMs)),
  };
}

function checkOf({ body, ...row }: Row): KeptCheck {
  return { ...row, body: checkBodySchema.parse(JSON.parse(body)) };
}
