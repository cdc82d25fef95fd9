import type { AlarmEvent } from '../../../shared/model/alarm.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import type { Alarms, Outbox, OutboxMessage } from '../../ports.ts';
import type { Db } from './database.ts';
import { refusing } from './refusing.ts';

/** Alarms and what happened to them, in SQLite. */
export function sqliteAlarms(db: Db): Alarms {
  const all = db.prepare<[], { body: string }>('SELECT body FROM alarm ORDER BY rowid');
  const save = db.prepare(
    'INSERT INTO alarm (id, place_id, body) VALUES (?, ?, ?) ON CONFLICT (id) DO UPDATE SET body = excluded.body',
  );
  const add = db.prepare('INSERT INTO alarm_event (alarm_id, at_ms, transition, note) VALUES (?, ?, ?, ?)');
  const events = db.prepare<[string], AlarmEvent>(
    'SELECT id, alarm_id AS alarmId, at_ms AS atMs, transition, note FROM alarm_event WHERE alarm_id = ? ORDER BY id DESC LIMIT 500',
  );
  const ofPlace = db.prepare<[string, number, number, number, number], AlarmEvent>(
    `SELECT e.id, e.alarm_id AS alarmId, e.at_ms AS atMs, e.transition, e.note
     FROM alarm_event AS e JOIN alarm ON alarm.id = e.alarm_id
     WHERE alarm.place_id = ? AND e.at_ms >= ? AND e.at_ms < ? AND e.id > ? ORDER BY e.id LIMIT ?`,
  );
  const allIn = db.prepare<[number, number, number], AlarmEvent>(
    `SELECT id, alarm_id AS alarmId, at_ms AS atMs, transition, note FROM alarm_event
     WHERE at_ms >= ? AND at_ms < ? ORDER BY at_ms, id LIMIT ?`,
  );
  const inSpan = db.prepare<[number, number], { id: string }>(
    'SELECT DISTINCT alarm_id AS id FROM alarm_event WHERE at_ms >= ? AND at_ms < ?',
  );
  return {
    // written by save() alone, so its shape is ours
    all: () => all.all().map(({ body }) => JSON.parse(body) as AlarmRecord),
    save: (record) => void save.run(record.id, record.placeId, JSON.stringify(record)),
    addEvent: (event) =>
      Number(add.run(event.alarmId, event.atMs, event.transition, event.note).lastInsertRowid),
    events: (alarmId) => events.all(alarmId),
    eventsOfPlace: ({ placeId, fromMs, toMs, afterId, limit }) =>
      ofPlace.all(placeId, fromMs, toMs, afterId, limit),
    eventsIn: ({ fromMs, toMs, limit }) => allIn.all(fromMs, toMs, limit),
    idsWithEvents: ({ fromMs, toMs }) => inSpan.all(fromMs, toMs).map(({ id }) => id),
  };
}

/** How long a message that was taken, or given up, is remembered. */
const KEEP_TOLD_MS = 30 * 86_400_000;

/** Messages on their way to people, in SQLite. */
export function sqliteOutbox(db: Db): Outbox {
  const put = db.prepare(
    `INSERT INTO outbox (message_key, channel, body, state, created_ms, next_at_ms)
     VALUES (?, ?, ?, 'waiting', ?, ?)`,
  );
  const due = db.prepare<[number, number], OutboxMessage>(
    `SELECT id, message_key AS key, channel, body, attempts, created_ms AS createdMs,
       next_at_ms AS nextAtMs, last_error AS lastError
     FROM outbox WHERE state = 'waiting' AND next_at_ms <= ? ORDER BY id LIMIT ?`,
  );
  const next = db.prepare<[], { at: number | null }>(
    "SELECT min(next_at_ms) AS at FROM outbox WHERE state = 'waiting'",
  );
  const prune = db.prepare<[number]>("DELETE FROM outbox WHERE state <> 'waiting' AND created_ms < ?");
  const sent = db.prepare(
    "UPDATE outbox SET state = 'sent', attempts = attempts + 1, last_error = NULL WHERE id = ?",
  );
  const failed = db.prepare(
    'UPDATE outbox SET attempts = attempts + 1, next_at_ms = ?, last_error = ? WHERE id = ?',
  );
  const abandon = db.prepare("UPDATE outbox SET state = 'abandoned' WHERE id = ?");
  const waiting = db.prepare<[], { n: number; lastError: string | null }>(
    `SELECT count(*) AS n, (SELECT last_error FROM outbox WHERE state = 'waiting' AND last_error IS NOT NULL
       ORDER BY id DESC LIMIT 1) AS lastError FROM outbox WHERE state = 'waiting'`,
  );
  return {
    put({ key, channel, body, createdMs }) {
      prune.run(createdMs - KEEP_TOLD_MS);
      put.run(key, channel, body, createdMs, createdMs);
    },
    due: ({ nowMs, limit }) => due.all(nowMs, limit),
    nextDueMs: () => next.get()?.at ?? null,
    sent: (id) => void refusing(() => sent.run(id)),
    failed: ({ id, nextAtMs, error }) => void refusing(() => failed.run(nextAtMs, error, id)),
    abandon: (id) => void refusing(() => abandon.run(id)),
    waiting: () => {
      const row = waiting.get();
      return { count: row?.n ?? 0, lastError: row?.lastError ?? null };
    },
  };
}
