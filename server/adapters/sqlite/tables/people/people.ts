import {
  type ContactMethod,
  DEFAULT_ESCALATION,
  type NewContactMethod,
  type Person,
  readEscalation,
} from '../../../../../shared/model/people/people.ts';
import type { FailingContactMethod, People } from '../../../../ports.ts';
import type { Db } from '../../database.ts';
import { callingBody, callingOfBody } from '../alarm-body.ts';
import type { Forgetting } from '../clock.ts';

type PersonRow = { id: number; name: string; quietFrom: string | null; quietTo: string | null };
type ContactMethodRow = { id: number; personId: number; body: string };

/** No look at an alarm lies further ahead than quiet hours last, ms; one that does was put by a clock that was ahead. */
const LONGEST_WAIT_MS = 26 * 3_600_000;

/** Who is notified, and what they were sent, in SQLite. */
export function sqlitePeople(db: Db, forgetting: Forgetting): People {
  return { ...people(db), ...methods(db), ...callings(db), ...links(db, forgetting) };
}

type Part<K extends keyof People> = Pick<People, K>;

function people(db: Db): Part<'roster' | 'add' | 'update' | 'remove' | 'setEscalation'> {
  const all = db.prepare<[], PersonRow>(
    'SELECT id, name, quiet_from AS quietFrom, quiet_to AS quietTo FROM person ORDER BY id',
  );
  const allMethods = db.prepare<[], ContactMethodRow>(
    'SELECT id, person_id AS personId, body FROM way ORDER BY id',
  );
  const add = db.prepare('INSERT INTO person (name, quiet_from, quiet_to) VALUES (?, ?, ?)');
  const update = db.prepare('UPDATE person SET name = ?, quiet_from = ?, quiet_to = ? WHERE id = ?');
  const remove = db.prepare('DELETE FROM person WHERE id = ?');
  const escalation = db.prepare<[], { body: string }>('SELECT body FROM ladder');
  const setEscalation = db.prepare(
    'INSERT INTO ladder (id, body) VALUES (1, ?) ON CONFLICT (id) DO UPDATE SET body = excluded.body',
  );
  const person = (
    { id, name, quietFrom, quietTo }: PersonRow,
    every: readonly ContactMethodRow[],
  ): Person => ({
    id,
    name,
    quiet: quietFrom === null || quietTo === null ? null : { from: quietFrom, to: quietTo },
    ways: every.filter(({ personId }) => personId === id).map(methodOf),
  });
  return {
    roster() {
      const rows = all.all();
      const every = rows.length === 0 ? [] : allMethods.all();
      const kept = escalation.get();
      return {
        people: rows.map((row) => person(row, every)),
        ladder: kept ? readEscalation(kept.body).ladder : DEFAULT_ESCALATION,
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
    setEscalation: (given) => void setEscalation.run(JSON.stringify(given)),
  };
}

// written by addWay() and updateWay() alone, so its shape is ours
const methodOf = ({ id, body }: ContactMethodRow): ContactMethod => ({
  ...(JSON.parse(body) as NewContactMethod),
  id,
});

function methods(
  db: Db,
): Part<
  'addContactMethod' | 'updateContactMethod' | 'removeContactMethod' | 'failing' | 'noteFailure' | 'noteTaken'
> {
  const add = db.prepare('INSERT INTO way (person_id, body) VALUES (?, ?)');
  const update = db.prepare('UPDATE way SET body = ? WHERE id = ? AND person_id = ?');
  const remove = db.prepare('DELETE FROM way WHERE id = ? AND person_id = ?');
  const failing = db.prepare<[], Omit<FailingContactMethod, 'forGood'> & { forGood: number }>(
    `SELECT way_id AS wayId, since_ms AS sinceMs, attempts, error, for_good AS forGood
     FROM way_failing ORDER BY way_id`,
  );
  const note = db.prepare(
    `INSERT INTO way_failing (way_id, since_ms, attempts, error, for_good) VALUES (?, ?, ?, ?, ?)
     ON CONFLICT (way_id) DO UPDATE SET attempts = max(attempts, excluded.attempts), error = excluded.error,
       for_good = excluded.for_good`,
  );
  const clearFailing = db.prepare('DELETE FROM way_failing WHERE way_id = ?');
  return {
    addContactMethod: (personId, method) => ({
      ...method,
      id: Number(add.run(personId, JSON.stringify(method)).lastInsertRowid),
    }),
    updateContactMethod: ({ personId, wayId }, method) =>
      update.run(JSON.stringify(method), wayId, personId).changes === 1,
    removeContactMethod: ({ personId, wayId }) => remove.run(wayId, personId).changes === 1,
    failing: () => failing.all().map((row) => ({ ...row, forGood: row.forGood === 1 })),
    noteFailure: ({ wayId, sinceMs, attempts, error, forGood }) =>
      void note.run(wayId, sinceMs, attempts, error, forGood ? 1 : 0),
    noteTaken: (wayId) => void clearFailing.run(wayId),
  };
}

type CallingKeys =
  | 'calling'
  | 'saveCalling'
  | 'dueCallings'
  | 'checkAgainAt'
  | 'morningSheetDay'
  | 'setMorningSheetDay';

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
  const checkAgain = db.prepare('UPDATE calling SET look_again_ms = ?');
  const day = db.prepare<[], { day: string }>('SELECT day FROM morning_sheet');
  const setDay = db.prepare(
    'INSERT INTO morning_sheet (id, day) VALUES (1, ?) ON CONFLICT (id) DO UPDATE SET day = excluded.day',
  );
  return {
    calling(alarmId) {
      const row = get.get(alarmId);
      return row ? callingOfBody(row.body) : null;
    },
    saveCalling: (alarmId, calling, checkAgainMs) =>
      void save.run(alarmId, callingBody(calling), checkAgainMs),
    dueCallings: (nowMs) => due.all({ nowMs }).map(({ id }) => id),
    checkAgainAt: (atMs) => void checkAgain.run(atMs),
    morningSheetDay: () => day.get()?.day ?? null,
    setMorningSheetDay: (given) => void setDay.run(given),
  };
}

function links(db: Db, forgetting: Forgetting): Part<'useLinkOnce' | 'isLinkUsed'> {
  const spend = db.prepare('INSERT INTO spent_link (id, expires_ms) VALUES (?, ?) ON CONFLICT DO NOTHING');
  const usedLink = db.prepare<[string], { id: string }>('SELECT id FROM spent_link WHERE id = ?');
  const prune = db.prepare('DELETE FROM spent_link WHERE expires_ms < ?');
  return {
    useLinkOnce({ id, expiresMs }, nowMs) {
      if (!forgetting.isHeld) prune.run(nowMs);
      return spend.run(id, expiresMs).changes === 1;
    },
    isLinkUsed: (id) => usedLink.get(id) !== undefined,
  };
}
