import type { RefusedPack } from '../../../../shared/wire/http.ts';
import type { NewRefusal, Refusals } from '../../../ports.ts';
import type { Db } from '../database.ts';

/** Refused packs are kept up to both bounds; the oldest goes first. */
export const MAX_REFUSED_KEPT = 1_000;
export const MAX_REFUSED_BYTES = 8 * 1024 * 1024;

/** Refused packs in SQLite, bounded, with counts that are not. */
export function sqliteRefusals(
  db: Db,
  bounds: { kept: number; bytes: number } = { kept: MAX_REFUSED_KEPT, bytes: MAX_REFUSED_BYTES },
): Refusals {
  const add = db.prepare(
    `INSERT INTO refused (at_ms, code, reason, pointer, device, topic, bytes, payload, kept_bytes)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
  );
  const count = db.prepare(
    'INSERT INTO refused_count (code, n) VALUES (?, 1) ON CONFLICT (code) DO UPDATE SET n = n + 1',
  );
  const held = db.prepare<[], { n: number; bytes: number }>(
    'SELECT count(*) AS n, ifnull(sum(kept_bytes), 0) AS bytes FROM refused',
  );
  const dropOldest = db.prepare<[], { keptBytes: number }>(
    'DELETE FROM refused WHERE id = (SELECT min(id) FROM refused) RETURNING kept_bytes AS keptBytes',
  );
  const newest = db.prepare<[number, number], Omit<RefusedPack, 'time'> & { atMs: number }>(
    `SELECT id, at_ms AS atMs, code, reason, pointer, device, topic, bytes, payload
     FROM refused WHERE id < ? ORDER BY id DESC LIMIT ?`,
  );
  const counts = db.prepare<[], { code: string; n: number }>(
    'SELECT code, n FROM refused_count ORDER BY code',
  );

  return {
    keep(refusal: NewRefusal) {
      const { atMs, code, reason, pointer, device, topic, bytes, payload } = refusal;
      add.run(
        atMs,
        code,
        reason,
        pointer,
        device,
        topic,
        bytes,
        payload,
        Buffer.byteLength(payload) + topic.length,
      );
      count.run(code);
      let room = held.get() ?? { n: 0, bytes: 0 };
      while (room.n > bounds.kept || room.bytes > bounds.bytes) {
        room = { n: room.n - 1, bytes: room.bytes - (dropOldest.get()?.keptBytes ?? 0) };
      }
    },
    newest: (limit, beforeId = Number.MAX_SAFE_INTEGER) =>
      newest
        .all(beforeId, limit)
        .map(({ atMs, ...rest }) => ({ ...rest, time: new Date(atMs).toISOString() })),
    countsByCode: () => Object.fromEntries(counts.all().map(({ code, n }) => [code, n])),
  };
}
