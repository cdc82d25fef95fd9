import type { WaitingDevice } from '../../../domain/lifecycle/waiting.ts';
import type { RawMessage, WaitingRecord } from '../../../ports.ts';
import type { Db } from '../database.ts';

type PackRow = { topic: string; payload: Uint8Array; arrivedMs: number; retained: number };

/** Devices that wait to be accepted, and what they sent, in SQLite. */
export function sqliteWaiting(db: Db): WaitingRecord {
  const devices = db.prepare<[], WaitingDevice>(
    `SELECT device, state, first_ms AS firstMs, last_ms AS lastMs, received, packs, bytes, dropped,
       decided_ms AS decidedMs, decided_by AS decidedBy FROM waiting_device ORDER BY first_ms, device`,
  );
  const save = db.prepare(
    `INSERT INTO waiting_device (device, state, first_ms, last_ms, received, packs, bytes, dropped, decided_ms, decided_by)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
     ON CONFLICT (device) DO UPDATE SET state = excluded.state, last_ms = excluded.last_ms,
       received = excluded.received, packs = excluded.packs, bytes = excluded.bytes, dropped = excluded.dropped,
       decided_ms = excluded.decided_ms, decided_by = excluded.decided_by`,
  );
  const keep = db.prepare(
    'INSERT INTO waiting_pack (device, topic, payload, arrived_ms, retained) VALUES (?, ?, ?, ?, ?)',
  );
  const packs = db.prepare<[string], PackRow>(
    'SELECT topic, payload, arrived_ms AS arrivedMs, retained FROM waiting_pack WHERE device = ? ORDER BY id',
  );
  const held = db.prepare<[string], { packs: number; bytes: number }>(
    'SELECT packs, bytes FROM waiting_device WHERE device = ?',
  );
  const dropOldest = db.prepare<[string], { bytes: number }>(
    `DELETE FROM waiting_pack WHERE id = (SELECT min(id) FROM waiting_pack WHERE device = ?)
     RETURNING length(payload) AS bytes`,
  );
  const trimmed = db.prepare(
    'UPDATE waiting_device SET packs = ?, bytes = ?, dropped = dropped + ? WHERE device = ?',
  );
  const forget = db.prepare('DELETE FROM waiting_device WHERE device = ?');
  const totals = db.prepare<[], { dropped: number; turnedAway: number }>(
    'SELECT dropped, turned_away AS turnedAway FROM waiting_total',
  );
  const count = db.prepare(
    `INSERT INTO waiting_total (id, dropped, turned_away) VALUES (1, ?, ?)
     ON CONFLICT (id) DO UPDATE SET dropped = dropped + excluded.dropped, turned_away = turned_away + excluded.turned_away`,
  );
  return {
    devices: () => devices.all(),
    save: (d) =>
      void save.run(
        d.device,
        d.state,
        d.firstMs,
        d.lastMs,
        d.received,
        d.packs,
        d.bytes,
        d.dropped,
        d.decidedMs,
        d.decidedBy,
      ),
    keepPack: (device, { topic, payload, arrivedAtMs, retainedCopy }) =>
      void keep.run(device, topic, payload, arrivedAtMs, retainedCopy ? 1 : 0),
    packs: (device) => packs.all(device).map(messageOf),
    trim(device, bounds) {
      let left = held.get(device) ?? { packs: 0, bytes: 0 };
      let dropped = 0;
      while (left.packs > bounds.packs || left.bytes > bounds.bytes) {
        const row = dropOldest.get(device);
        if (!row) break;
        left = { packs: left.packs - 1, bytes: left.bytes - row.bytes };
        dropped++;
      }
      trimmed.run(left.packs, left.bytes, dropped, device);
    },
    forget: (device) => void forget.run(device),
    totals: () => totals.get() ?? { dropped: 0, turnedAway: 0 },
    count: ({ dropped, turnedAway }) => void count.run(dropped, turnedAway),
  };
}

function messageOf({ topic, payload, arrivedMs, retained }: PackRow): RawMessage {
  return { topic, payload, arrivedAtMs: arrivedMs, retainedCopy: retained === 1 };
}
