import type { Diary, VentEntry } from '../../../ports.ts';
import type { Db } from '../database.ts';

const COLUMNS = 'id, place_id AS placeId, from_ms AS fromMs, to_ms AS toMs, note';

/** What people wrote down, in SQLite. */
export function sqliteDiary(db: Db): Diary {
  const vents = db.prepare<[string], VentEntry>(
    `SELECT ${COLUMNS} FROM vent WHERE place_id = ? ORDER BY from_ms, id`,
  );
  const add = db.prepare<[string, number, number | null, string | null], VentEntry>(
    `INSERT INTO vent (place_id, from_ms, to_ms, note) VALUES (?, ?, ?, ?) RETURNING ${COLUMNS}`,
  );
  const remove = db.prepare<[number, string]>('DELETE FROM vent WHERE id = ? AND place_id = ?');
  return {
    vents: (placeId) => vents.all(placeId),
    addVent({ placeId, fromMs, toMs, note }) {
      const entry = add.get(placeId, fromMs, toMs, note);
      if (!entry) throw new Error('the database returned no row for a new vent');
      return entry;
    },
    removeVent: ({ placeId, id }) => remove.run(id, placeId).changes === 1,
  };
}
