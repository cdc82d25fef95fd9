import type { Handshakes } from '../../../ports.ts';
import type { Db } from '../database.ts';

/** Most open handshakes that are remembered; the oldest goes first. */
export const MAX_HANDSHAKES = 10_000;

/** Handshakes of QoS 2 in SQLite, bounded. */
export function sqliteHandshakes(db: Db, most = MAX_HANDSHAKES): Handshakes {
  const find = db.prepare<[string], string>('SELECT content FROM handshake WHERE key = ?').pluck();
  const put = db.prepare('INSERT OR REPLACE INTO handshake (key, content, at_ms) VALUES (?, ?, ?)');
  const remove = db.prepare<[string]>('DELETE FROM handshake WHERE key = ?');
  const dropOldest = db.prepare<[number]>(
    `DELETE FROM handshake WHERE key IN (SELECT key FROM handshake ORDER BY at_ms, key LIMIT max(0, ?))`,
  );
  const count = db.prepare<[], number>('SELECT count(*) FROM handshake').pluck();
  const all = db.prepare<[], { key: string; content: string; atMs: number }>(
    'SELECT key, content, at_ms AS atMs FROM handshake ORDER BY at_ms, key',
  );
  let held = count.get() ?? 0;
  return {
    contentOf: (key) => find.get(key) ?? null,
    open(key, { content, atMs }) {
      put.run(key, content, atMs);
      // counted again only where there may be too many: a count reads the whole table
      held += 1;
      if (held <= most) return;
      held = count.get() ?? 0;
      held -= dropOldest.run(held - most).changes;
    },
    over: (key) => void remove.run(key),
    all: () => all.all(),
  };
}
