import type { AlarmEvent } from '../../../../shared/model/alarms/alarm.ts';
import type { Alarms } from '../../../ports.ts';
import type { Db } from '../database.ts';
import { alarmBody, alarmOfBody } from './alarm-body.ts';

/** Alarms and what happened to them, in SQLite. */
export function sqliteAlarms(db: Db): Alarms {
  const all = db.prepare<[], { body: string }>(
    `SELECT body FROM alarm WHERE place_id IS NULL OR place_id IN (SELECT id FROM place WHERE archive_id IS NULL)
     ORDER BY rowid`,
  );
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
    all: () => all.all().map(({ body }) => alarmOfBody(body)),
    save: (record) => void save.run(record.id, record.placeId, alarmBody(record)),
    addEvent: (event) =>
      Number(add.run(event.alarmId, event.atMs, event.transition, event.note).lastInsertRowid),
    events: (alarmId) => events.all(alarmId),
    eventsOfPlace: ({ placeId, fromMs, toMs, afterId, limit }) =>
      ofPlace.all(placeId, fromMs, toMs, afterId, limit),
    eventsIn: ({ fromMs, toMs, limit }) => allIn.all(fromMs, toMs, limit),
    idsWithEvents: ({ fromMs, toMs }) => inSpan.all(fromMs, toMs).map(({ id }) => id),
  };
}
