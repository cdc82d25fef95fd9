import type { EntryQuery, KeptEntry } from '../../../domain/diary/entry.ts';
import type { Diary, NewEntry, VentEntry } from '../../../ports.ts';
import type { Db } from '../database.ts';

const COLUMNS = `id, place_id AS placeId, batch_id AS batchId, kind, at_ms AS atMs, to_ms AS toMs, note,
  by_name AS by, photo, deleted_ms AS deletedMs`;
const VENT_COLUMNS = 'id, place_id AS placeId, at_ms AS fromMs, to_ms AS toMs, note';
const KEPT_VENT = `kind = 'vented' AND deleted_ms IS NULL AND place_id = @placeId`;

/** Those of a batch, and those of where it stood then that name no other. */
const OF_BATCH = `(batch_id = @batchId OR (batch_id IS NULL AND EXISTS (
    SELECT 1 FROM json_each(@stays) AS stay WHERE stay.value ->> 'placeId' = place_id
      AND at_ms >= stay.value ->> 'fromMs' AND at_ms < stay.value ->> 'toMs')))`;

const LIST = `SELECT ${COLUMNS} FROM diary_entry
  WHERE at_ms >= @fromMs AND at_ms < @toMs AND (deleted_ms IS NOT NULL) = @deleted
    AND (@placeId IS NULL OR place_id = @placeId) AND (@batchId IS NULL OR ${OF_BATCH})
    AND (@afterMs IS NULL OR (at_ms, id) < (@afterMs, @afterId))
  ORDER BY at_ms DESC, id DESC LIMIT @limit`;

/** Where a place is removed: what was written down of a batch stays with it, the rest has had its time. */
const LEAVING_ENTRIES: readonly string[] = [
  `UPDATE diary_entry SET deleted_ms = 0 WHERE place_id = @placeId AND batch_id IS NULL`,
  `UPDATE diary_entry SET place_id = NULL WHERE place_id = @placeId`,
];

/** Takes the entries of a place from it, inside the caller's transaction. @returns how many rows changed */
export function leaveEntries(placeId: string, db: Db): number {
  return LEAVING_ENTRIES.reduce((changes, sql) => changes + db.prepare(sql).run({ placeId }).changes, 0);
}

type ListKeys = Record<string, string | number | null>;

function keysOf({ placeId, batch, fromMs, toMs, deleted, after, limit }: EntryQuery): ListKeys {
  return {
    placeId,
    batchId: batch?.id ?? null,
    stays: JSON.stringify(batch?.stays ?? []),
    fromMs,
    toMs,
    deleted: deleted ? 1 : 0,
    afterMs: after?.atMs ?? null,
    afterId: after?.id ?? null,
    limit,
  };
}

function statements(db: Db) {
  const values = '@placeId, @batchId, @kind, @atMs, @toMs, @note, @by, @photo';
  return {
    list: db.prepare<[ListKeys], KeptEntry>(LIST),
    get: db.prepare<[number], KeptEntry>(`SELECT ${COLUMNS} FROM diary_entry WHERE id = ?`),
    counts: db.prepare<[], { entries: number; photos: number }>(
      'SELECT count(*) AS entries, count(photo) AS photos FROM diary_entry',
    ),
    countAt: db
      .prepare<[string], number>('SELECT count(*) FROM diary_entry WHERE place_id = ? AND deleted_ms IS NULL')
      .pluck(),
    add: db.prepare<[NewEntry]>(
      `INSERT INTO diary_entry (place_id, batch_id, kind, at_ms, to_ms, note, by_name, photo) VALUES (${values})`,
    ),
    update: db.prepare<[KeptEntry]>(
      `UPDATE diary_entry SET at_ms = @atMs, to_ms = @toMs, note = @note, deleted_ms = @deletedMs WHERE id = @id`,
    ),
    remove: db.prepare<[number]>('DELETE FROM diary_entry WHERE id = ?'),
    lapsed: db.prepare<[number, number], KeptEntry>(
      `SELECT ${COLUMNS} FROM diary_entry WHERE deleted_ms < ? OR (place_id IS NULL AND batch_id IS NULL)
       ORDER BY id LIMIT ?`,
    ),
    withPhoto: db.prepare<[string], number>('SELECT count(*) FROM diary_entry WHERE photo = ?').pluck(),
    vents: db.prepare<[{ placeId: string }], VentEntry>(
      `SELECT ${VENT_COLUMNS} FROM diary_entry WHERE ${KEPT_VENT} ORDER BY at_ms, id`,
    ),
    removeVent: db.prepare<[{ placeId: string; id: number; atMs: number }]>(
      `UPDATE diary_entry SET deleted_ms = @atMs WHERE id = @id AND ${KEPT_VENT}`,
    ),
  };
}

/** What people wrote down, in SQLite. */
export function sqliteDiary(db: Db): Diary {
  const sql = statements(db);
  const add = (entry: NewEntry) => Number(sql.add.run(entry).lastInsertRowid);
  return {
    list: (query) => sql.list.all(keysOf(query)),
    get: (id) => sql.get.get(id) ?? null,
    counts: () => sql.counts.get() ?? { entries: 0, photos: 0 },
    countAt: (placeId) => sql.countAt.get(placeId) ?? 0,
    add,
    update: (entry) => void sql.update.run(entry),
    remove: (id) => void sql.remove.run(id),
    lapsed: (beforeMs, limit) => sql.lapsed.all(beforeMs, limit),
    withPhoto: (name) => sql.withPhoto.get(name) ?? 0,
    vents: (placeId) => sql.vents.all({ placeId }),
    addVent({ placeId, fromMs, toMs, note }) {
      const vent = { placeId, batchId: null, kind: 'vented' as const, by: null, photo: null };
      return { id: add({ ...vent, atMs: fromMs, toMs, note }), placeId, fromMs, toMs, note };
    },
    removeVent: (vent) => sql.removeVent.run(vent).changes === 1,
  };
}
