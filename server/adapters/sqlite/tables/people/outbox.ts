import type { Outbox, OutboxMessage, SentMessage } from '../../../../ports.ts';
import type { Db } from '../../database.ts';
import { refusing } from '../../refusing.ts';
import type { Forgetting } from '../clock.ts';

/** How long a message that was delivered, or given up, is remembered. */
const KEEP_SENT_MS = 30 * 86_400_000;

/** No message waits longer for its next attempt than quiet hours last, ms. */
const LONGEST_WAIT_MS = 26 * 3_600_000;
/** Due, or put off by a clock that was ahead. */
const DUE = `(next_at_ms <= @nowMs OR next_at_ms > @nowMs + ${LONGEST_WAIT_MS})`;

const COLUMNS = `id, message_key AS key, way_id AS wayId, alarm_id AS alarmId, body, attempts,
  created_ms AS createdMs, next_at_ms AS nextAtMs, last_error AS lastError, priority`;

/** Priorities by the number they are kept as, in which they sort. */
const PRIORITIES = ['high', 'medium', 'low'] as const;

type Row<T> = Omit<T, 'priority'> & { readonly priority: number };

function withPriority<T extends { readonly priority: number }>(row: T) {
  return { ...row, priority: PRIORITIES[row.priority] ?? 'medium' };
}

/** Asked every second: by the index of those that wait, as all that were ever sent are in the table. */
const WAITING = `
  SELECT count(*) AS n, (SELECT last_error FROM outbox INDEXED BY outbox_waiting
    WHERE state = 'waiting' AND last_error IS NOT NULL ORDER BY id DESC LIMIT 1) AS lastError
  FROM outbox INDEXED BY outbox_waiting WHERE state = 'waiting'`;

const OLDEST_WAITING = "SELECT min(created_ms) FROM outbox INDEXED BY outbox_waiting WHERE state = 'waiting'";

const NEWEST_SENT = "SELECT max(created_ms) AS at FROM outbox WHERE kind = ? AND state = 'sent'";

/** How a message ended, or when it is tried again. */
function outcomes(db: Db) {
  const sent = db.prepare(
    "UPDATE outbox SET state = 'sent', attempts = attempts + 1, last_error = NULL, sent_ms = ? WHERE id = ?",
  );
  const failed = db.prepare(
    'UPDATE outbox SET attempts = attempts + 1, next_at_ms = ?, last_error = ? WHERE id = ?',
  );
  const abandon = db.prepare(
    "UPDATE outbox SET state = 'abandoned', attempts = attempts + 1, last_error = ? WHERE id = ?",
  );
  const abandonContactMethod = db.prepare(
    "UPDATE outbox SET state = 'abandoned', last_error = ? WHERE way_id = ? AND state = 'waiting'",
  );
  return { sent, failed, abandon, abandonContactMethod };
}

/** Messages on their way to people, in SQLite. */
export function sqliteOutbox(db: Db, forgetting: Forgetting): Outbox {
  const put = db.prepare(
    `INSERT INTO outbox (message_key, channel, way_id, alarm_id, recipient, kind, body, state, created_ms, next_at_ms, priority)
     VALUES (?, 'way', ?, ?, ?, ?, ?, 'waiting', ?, ?, ?)`,
  );
  const last = db.prepare<[], { seq: number }>("SELECT seq FROM sqlite_sequence WHERE name = 'outbox'");
  const due = db.prepare<[{ nowMs: number; limit: number }], Row<OutboxMessage>>(
    `SELECT ${COLUMNS} FROM outbox WHERE state = 'waiting' AND ${DUE} ORDER BY priority, id LIMIT @limit`,
  );
  const dueOfMethod = db.prepare<[{ nowMs: number; wayId: number; limit: number }], Row<OutboxMessage>>(
    `SELECT ${COLUMNS} FROM outbox WHERE state = 'waiting' AND ${DUE} AND way_id = @wayId
     ORDER BY priority, id LIMIT @limit`,
  );
  const dueContactMethods = db.prepare<[{ nowMs: number }], { wayId: number }>(
    `SELECT DISTINCT way_id AS wayId FROM outbox WHERE state = 'waiting' AND ${DUE}`,
  );
  const next = db.prepare<[], { at: number | null }>(
    "SELECT min(next_at_ms) AS at FROM outbox WHERE state = 'waiting'",
  );
  const prune = db.prepare<[number]>("DELETE FROM outbox WHERE state <> 'waiting' AND created_ms < ?");
  const { sent, failed, abandon, abandonContactMethod } = outcomes(db);
  const oldest = db.prepare<[], number>(OLDEST_WAITING).pluck();
  const waiting = db.prepare<[], { n: number; lastError: string | null }>(WAITING);
  const waits = db.prepare<[string, number], { id: number }>(
    "SELECT id FROM outbox WHERE alarm_id = ? AND way_id = ? AND state = 'waiting' LIMIT 1",
  );
  const used = db.prepare<[number], { id: number }>('SELECT id FROM outbox WHERE way_id = ? LIMIT 1');
  const newest = db.prepare<[string], { at: number | null }>(NEWEST_SENT);
  const ofAlarm = db.prepare<[string, number], Row<SentMessage>>(
    `SELECT ${COLUMNS}, recipient, kind, state, sent_ms AS sentMs FROM outbox
     WHERE alarm_id = ? ORDER BY id DESC LIMIT ?`,
  );
  return {
    put({ key, wayId, alarmId, recipient, kind, body, createdMs, notBeforeMs = createdMs, priority }) {
      if (!forgetting.isHeld) prune.run(createdMs - KEEP_SENT_MS);
      const rank = PRIORITIES.indexOf(priority ?? 'medium');
      put.run(key, wayId, alarmId, recipient, kind, body, createdMs, notBeforeMs, rank);
    },
    nextId: () => (last.get()?.seq ?? 0) + 1,
    dueContactMethods: (nowMs) => dueContactMethods.all({ nowMs }).map(({ wayId }) => wayId),
    due: ({ nowMs, limit, wayId }) =>
      (wayId === undefined ? due.all({ nowMs, limit }) : dueOfMethod.all({ nowMs, wayId, limit })).map(
        withPriority,
      ),
    nextDueMs: () => next.get()?.at ?? null,
    sent: (id, atMs) => void refusing(() => sent.run(atMs, id)),
    failed: ({ id, nextAtMs, error }) => void refusing(() => failed.run(nextAtMs, error, id)),
    abandon: (id, error) => void refusing(() => abandon.run(error, id)),
    abandonContactMethod: (wayId, error) => void refusing(() => abandonContactMethod.run(error, wayId)),
    waiting: () => countOf(waiting.get()),
    oldestWaitingMs: () => oldest.get() ?? null,
    isWaiting: ({ wayId, alarmId }) => waits.get(alarmId, wayId) !== undefined,
    wasUsed: (wayId) => used.get(wayId) !== undefined,
    newestSent: (kind) => newest.get(kind)?.at ?? null,
    ofAlarm: (alarmId, limit) => ofAlarm.all(alarmId, limit).map(withPriority),
  };
}

function countOf(row: { readonly n: number; readonly lastError: string | null } | undefined) {
  return { count: row?.n ?? 0, lastError: row?.lastError ?? null };
}
