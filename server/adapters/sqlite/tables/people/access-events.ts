import {
  type AccessEventClass,
  classOf,
  MAX_EVENTS_OF_A_CLASS,
} from '../../../../../shared/model/people/access-event.ts';
import type { AccessEventLog, KeptAccessEvent } from '../../../../ports.ts';
import type { Db } from '../../database.ts';
import { refusing } from '../../refusing.ts';

/** Sign-ins, refusals and changes of who may, in SQLite. */
export function accessEventsIn(db: Db): AccessEventLog {
  const add = db.prepare<Omit<KeptAccessEvent, 'id'> & { class: AccessEventClass }>(
    `INSERT INTO access_event (class, kind, first_ms, at_ms, count, who, whom, address, note)
     VALUES (@class, @kind, @firstMs, @atMs, @count, @who, @whom, @address, @note)`,
  );
  const drop = db.prepare<[AccessEventClass, AccessEventClass, number]>(
    `DELETE FROM access_event WHERE class = ? AND id <=
       (SELECT id FROM access_event WHERE class = ? ORDER BY id DESC LIMIT 1 OFFSET ?)`,
  );
  const list = db.prepare<[number, number], KeptAccessEvent>(
    `SELECT id, kind, first_ms AS firstMs, at_ms AS atMs, count, who, whom, address, note
     FROM access_event WHERE id < ? ORDER BY id DESC LIMIT ?`,
  );
  const addAll = db.transaction((events: readonly Omit<KeptAccessEvent, 'id'>[]) => {
    for (const event of events) add.run({ ...event, class: classOf(event.kind) });
    for (const kind of new Set(events.map((event) => classOf(event.kind))))
      drop.run(kind, kind, MAX_EVENTS_OF_A_CLASS);
  });
  return {
    addAccessEvents: (events) => void refusing(() => addAll.immediate(events)),
    accessEvents: ({ limit, beforeId }) =>
      refusing(() => list.all(beforeId ?? Number.MAX_SAFE_INTEGER, limit)),
  };
}
