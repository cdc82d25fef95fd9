import { type PathTest, readWeeklyTest } from '../../../../../shared/model/people/weekly-test.ts';
import type { PathTests } from '../../../../ports.ts';
import type { Db } from '../../database.ts';
import type { Forgetting } from '../clock.ts';

const COLUMNS = `id, message_key AS key, cause, person_id AS personId, way_id AS wayId, recipient, put_ms AS putMs,
  confirm_by_ms AS confirmByMs, taken_ms AS takenMs, error, given_up AS givenUp, confirmed_ms AS confirmedMs`;

type Row = Omit<PathTest, 'givenUp'> & { givenUp: number };
const testOf = (row: Row): PathTest => ({ ...row, givenUp: row.givenUp === 1 });

/** The weekly test and the result of each test message, in SQLite. */
export function sqlitePathTests(db: Db, forgetting: Forgetting): PathTests {
  return { ...weekly(db), ...tests(db, forgetting) };
}

type WeeklyKeys = 'weekly' | 'setWeekly' | 'sinceMs' | 'markChecked';

function weekly(db: Db): Pick<PathTests, WeeklyKeys> {
  const row = db.prepare<[], { body: string | null; sinceMs: number }>(
    'SELECT body, since_ms AS sinceMs FROM weekly_test',
  );
  const set = db.prepare(
    `INSERT INTO weekly_test (id, body, since_ms) VALUES (1, ?, ?)
     ON CONFLICT (id) DO UPDATE SET body = excluded.body, since_ms = excluded.since_ms`,
  );
  const mark = db.prepare(
    `INSERT INTO weekly_test (id, since_ms) VALUES (1, ?)
     ON CONFLICT (id) DO UPDATE SET since_ms = excluded.since_ms`,
  );
  return {
    weekly() {
      const body = row.get()?.body ?? null;
      return body === null ? null : readWeeklyTest(body).weekly;
    },
    setWeekly: (given, nowMs) => void set.run(JSON.stringify(given), nowMs),
    sinceMs: () => row.get()?.sinceMs ?? null,
    markChecked: (nowMs) => void mark.run(nowMs),
  };
}

function tests(db: Db, forgetting: Forgetting): Omit<PathTests, WeeklyKeys> {
  const all = db.prepare<[], Row>(`SELECT ${COLUMNS} FROM path_test ORDER BY id DESC`);
  const add = db.prepare(
    `INSERT INTO path_test (message_key, cause, person_id, way_id, recipient, put_ms, confirm_by_ms)
     VALUES (?, ?, ?, ?, ?, ?, ?)`,
  );
  const byKey = db.prepare<[string], Row>(`SELECT ${COLUMNS} FROM path_test WHERE message_key = ?`);
  const note = db.prepare('UPDATE path_test SET taken_ms = ?, error = ?, given_up = ? WHERE message_key = ?');
  const confirm = db.prepare('UPDATE path_test SET confirmed_ms = ? WHERE id = ? AND confirmed_ms IS NULL');
  const forgetContactMethod = db.prepare('DELETE FROM path_test WHERE way_id = ?');
  const forgetBefore = db.prepare('DELETE FROM path_test WHERE put_ms < ?');
  return {
    all: () => all.all().map(testOf),
    add(test) {
      const { key, cause, personId, wayId, recipient, putMs, confirmByMs } = test;
      const { lastInsertRowid } = add.run(key, cause, personId, wayId, recipient, putMs, confirmByMs);
      const nothingYet = { takenMs: null, error: null, givenUp: false, confirmedMs: null };
      return { id: Number(lastInsertRowid), ...test, ...nothingYet };
    },
    byKey(key) {
      const row = byKey.get(key);
      return row ? testOf(row) : null;
    },
    noteDelivery: ({ key, takenMs, error, givenUp }) => void note.run(takenMs, error, givenUp ? 1 : 0, key),
    confirm: (id, atMs) => void confirm.run(atMs, id),
    forgetContactMethod: (wayId) => void forgetContactMethod.run(wayId),
    forgetBefore(atMs) {
      if (!forgetting.isHeld) forgetBefore.run(atMs);
    },
  };
}
