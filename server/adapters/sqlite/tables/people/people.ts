import {
  FIRST_LADDER,
  type NewWay,
  type Person,
  readLadder,
  type Way,
} from '../../../../../shared/model/people/people.ts';
import { type Calling, NOT_CALLED } from '../../../../domain/people/ladder.ts';
import type { FailingWay, People } from '../../../../ports.ts';
import type { Db } from '../../database.ts';
import type { Forgetting } from '../clock.ts';

type PersonRow = { id: number; name: string; quietFrom: string | null; quietTo: string | null };
type WayRow = { id: number; personId: number; body: string };

/** No look at an alarm lies further ahead than quiet hours last, ms; one that does was put by a clock that was ahead. */
const LONGEST_WAIT_MS = 26 * 3_600_000;

/** Who is told, and what they were told, in SQLite. */
export function sqlitePeople(db: Db, forgetting: Forgetting): People {
  return { ...people(db), ...ways(db), ...callings(db), ...links(db, forgetting) };
}

type Part<K extends keyof People> = Pick<People, K>;

function people(db: Db): Part<'roster' | 'add' | 'update' | 'remove' | 'setLadder'> {
  const all = db.prepare<[], PersonRow>(
    'SELECT id, name, quiet_from AS quietFrom, quiet_to AS quietTo FROM person ORDER BY id',
  );
  const allWays = db.prepare<[], WayRow>('SELECT id, person_id AS personId, body FROM way ORDER BY id');
  const add = db.prepare('INSERT INTO person (name, quiet_from, quiet_to) VALUES (?, ?, ?)');
  const update = db.prepare('UPDATE person SET name = ?, quiet_from = ?, quiet_to = ? WHERE id = ?');
  const remove = db.prepare('DELETE FROM person WHERE id = ?');
  const ladder = db.prepare<[], { body: string }>('SELECT body FROM ladder');
  const setLadder = db.prepare(
    'INSERT INTO ladder (id, body) VALUES (1, ?) ON CONFLICT (id) DO UPDATE SET body = excluded.body',
  );
  const person = ({ id, name, quietFrom, quietTo }: PersonRow, every: readonly WayRow[]): Person => ({
    id,
    name,
    quiet: quietFrom === null || quietTo === null ? null : { from: quietFrom, to: quietTo },
    ways: every.filter(({ personId }) => personId === id).map(wayOf),
  });
  return {
    roster() {
      const rows = all.all();
      const every = rows.length === 0 ? [] : allWays.all();
      const kept = ladder.get();
      return {
        people: rows.map((row) => person(row, every)),
        ladder: kept ? readLadder(kept.body).ladder : FIRST_LADDER,
      };
    },
    add(patch) {
      const { name, quiet } = patch;
      const { lastInsertRowid } = add.run(name, quiet?.from ?? null, quiet?.to ?? null);
      return { id: Number(lastInsertRowid), ...patch, ways: [] };
    },
    update: (id, { name, quiet }) =>
      update.run(name, quiet?.from ?? null, quiet?.to ?? null, id).changes === 1,
    remove: (id) => remove.run(id).changes === 1,
    setLadder: (given) => void setLadder.run(JSON.stringify(given)),
  };
}

// written by addWay() and updateWay() alone, so its shape is ours
const wayOf = ({ id, body }: WayRow): Way => ({ ...(JSON.parse(body) as NewWay), id });

function ways(db: Db): Part<'addWay' | 'updateWay' | 'removeWay' | 'failing' | 'noteFailure' | 'noteTaken'> {
  const add = db.prepare('INSERT INTO way (person_id, body) VALUES (?, ?)');
  const update = db.prepare('UPDATE way SET body = ? WHERE id = ? AND person_id = ?');
  const remove = db.prepare('DELETE FROM way WHERE id = ? AND person_id = ?');
  const failing = db.prepare<[], Omit<FailingWay, 'forGood'> & { forGood: number }>(
    `SELECT way_id AS wayId, since_ms AS sinceMs, attempts, error, for_good AS forGood
     FROM way_failing ORDER BY way_id`,
  );
  const note = db.prepare(
    `INSERT INTO way_failing (way_id, since_ms, attempts, error, for_good) VALUES (?, ?, ?, ?, ?)
     ON CONFLICT (way_id) DO UPDATE SET attempts = max(attempts, excluded.attempts), error = excluded.error,
       for_good = excluded.for_good`,
  );
  const taken = db.prepare('DELETE FROM way_failing WHERE way_id = ?');
  return {
    addWay: (personId, way) => ({
      ...way,
      id: Number(add.run(personId, JSON.stringify(way)).lastInsertRowid),
    }),
    updateWay: ({ personId, wayId }, way) => update.run(JSON.stringify(way), wayId, personId).changes === 1,
    removeWay: ({ personId, wayId }) => remove.run(wayId, personId).changes === 1,
    failing: () => failing.all().map((row) => ({ ...row, forGood: row.forGood === 1 })),
    noteFailure: ({ wayId, sinceMs, attempts, error, forGood }) =>
      void note.run(wayId, sinceMs, attempts, error, forGood ? 1 : 0),
    noteTaken: (wayId) => void taken.run(wayId),
  };
}

type CallingKeys = 'calling' | 'saveCalling' | 'dueCallings' | 'lookAgainAt' | 'sheetDay' | 'setSheetDay';

function callings(db: Db): Part<CallingKeys> {
  const get = db.prepare<[string], { body: string }>('SELECT body FROM calling WHERE alarm_id = ?');
  const save = db.prepare(
    `INSERT INTO calling (alarm_id, body, look_again_ms) VALUES (?, ?, ?)
     ON CONFLICT (alarm_id) DO UPDATE SET body = excluded.body, look_again_ms = excluded.look_again_ms`,
  );
  const due = db.prepare<[{ nowMs: number }], { id: string }>(
    `SELECT alarm_id AS id FROM calling WHERE look_again_ms <= @nowMs
     UNION ALL SELECT alarm_id FROM calling WHERE look_again_ms > @nowMs + ${LONGEST_WAIT_MS}`,
  );
  const lookAgain = db.prepare('UPDATE calling SET look_again_ms = ?');
  const day = db.prepare<[], { day: string }>('SELECT day FROM morning_sheet');
  const setDay = db.prepare(
    'INSERT INTO morning_sheet (id, day) VALUES (1, ?) ON CONFLICT (id) DO UPDATE SET day = excluded.day',
  );
  return {
    calling(alarmId) {
      const row = get.get(alarmId);
      // written by saveCalling() alone, so its shape is ours; by an earlier version, without what came since
      return row ? { ...NOT_CALLED, ...(JSON.parse(row.body) as Calling) } : null;
    },
    saveCalling: (alarmId, calling, lookAgainMs) =>
      void save.run(alarmId, JSON.stringify(calling), lookAgainMs),
    dueCallings: (nowMs) => due.all({ nowMs }).map(({ id }) => id),
    lookAgainAt: (atMs) => void lookAgain.run(atMs),
    sheetDay: () => day.get()?.day ?? null,
    setSheetDay: (given) => void setDay.run(given),
  };
}

function links(db: Db, forgetting: Forgetting): Part<'spendLink' | 'isSpent'> {
  const spend = db.prepare('INSERT INTO spent_link (id, expires_ms) VALUES (?, ?) ON CONFLICT DO NOTHING');
  const spent = db.prepare<[string], { id: string }>('SELECT id FROM spent_link WHERE id = ?');
  const prune = db.prepare('DELETE FROM spent_link WHERE expires_ms < ?');
  return {
    spendLink({ id, expiresMs }, nowMs) {
      if (!forgetting.isHeld) prune.run(nowMs);
      return spend.run(id, expiresMs).changes === 1;
    },
    isSpent: (id) => spent.get(id) !== undefined,
  };
}
