import type { Probe } from '../../../../shared/model/probes/probe.ts';
import type { ArchiveBody, ArchiveItem, ArchiveRecord, ArchiveScope } from '../../../ports.ts';
import type { Db } from '../database.ts';
import { type RemovalParts, removeSome } from '../removal.ts';
import { alarmOfBody } from './alarm-body.ts';
import { type PlaceRow, PROBE_COLUMNS, placeOf } from './places.ts';

const COLUMNS = `id, kind, name, state, since_ms AS sinceMs, by_name AS "by", counted_days AS countedDays,
  counted_ms AS countedMs, body`;

type Row = Omit<ArchiveItem, 'body'> & { readonly body: string };

function statements(db: Db) {
  return {
    items: db.prepare<[], Row>(`SELECT ${COLUMNS} FROM archive_item ORDER BY id`),
    item: db.prepare<[number], Row>(`SELECT ${COLUMNS} FROM archive_item WHERE id = ?`),
    count: db.prepare<[], number>('SELECT count(*) FROM archive_item').pluck(),
    add: db.prepare(
      `INSERT INTO archive_item (kind, name, state, since_ms, by_name, counted_days, counted_ms, body)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
    ),
    update: db.prepare(
      `UPDATE archive_item SET state = ?, since_ms = ?, by_name = ?, counted_days = ?, counted_ms = ? WHERE id = ?`,
    ),
    takePlace: db.prepare('UPDATE place SET archive_id = ? WHERE id = ?'),
    takeProbe: db.prepare('UPDATE probe SET archive_id = ? WHERE id = ?'),
    freePlaces: db.prepare('UPDATE place SET archive_id = NULL WHERE archive_id = ?'),
    freeProbes: db.prepare('UPDATE probe SET archive_id = NULL WHERE archive_id = ?'),
    forget: db.prepare('DELETE FROM archive_item WHERE id = ?'),
    placeNames: db.prepare<[], { placeId: string; itemId: number }>(
      'SELECT id AS placeId, archive_id AS itemId FROM place WHERE archive_id IS NOT NULL',
    ),
    probeNames: db.prepare<[], { device: string; name: string; itemId: number }>(
      'SELECT device, name, archive_id AS itemId FROM probe WHERE archive_id IS NOT NULL',
    ),
    places: db.prepare<[number], PlaceRow>('SELECT * FROM place WHERE archive_id = ? ORDER BY rowid'),
    probes: db.prepare<[number, number], Probe>(
      `SELECT ${PROBE_COLUMNS} FROM probe
       WHERE archive_id = ? OR place_id IN (SELECT id FROM place WHERE archive_id = ?) ORDER BY id`,
    ),
    place: db.prepare<[string], PlaceRow>(
      `SELECT place.* FROM place JOIN archive_item ON archive_item.id = place.archive_id
       WHERE place.id = ? AND archive_item.state != 'removing'`,
    ),
    probesOfPlace: db.prepare<[string], Probe>(
      `SELECT ${PROBE_COLUMNS} FROM probe WHERE place_id = ? ORDER BY id`,
    ),
    alarmsOfPlace: db.prepare<[string], { body: string }>('SELECT body FROM alarm WHERE place_id = ?'),
  };
}

/**
 * The archive in SQLite: places and probes carry the number of their item.
 * @param parts what holds the record in memory beside the database
 */
export function sqliteArchive(db: Db, parts: RemovalParts): ArchiveRecord {
  const sql = statements(db);
  const probes = (id: number) => sql.probes.all(id, id);
  const take = (id: number, { placeIds, probeIds }: ArchiveScope) => {
    for (const placeId of placeIds) sql.takePlace.run(id, placeId);
    for (const probeId of probeIds) sql.takeProbe.run(id, probeId);
  };
  return {
    items: () => sql.items.all().map(itemOf),
    count: () => sql.count.get() ?? 0,
    item(id) {
      const row = sql.item.get(id);
      return row ? itemOf(row) : null;
    },
    add(item, scope) {
      const { kind, name, state, sinceMs, by, countedDays, countedMs, body } = item;
      const kept = JSON.stringify(body);
      const added = sql.add.run(kind, name, state, sinceMs, by, countedDays, countedMs, kept);
      const id = Number(added.lastInsertRowid);
      take(id, scope);
      return { ...item, id };
    },
    update({ id, state, sinceMs, by, countedDays, countedMs }) {
      sql.update.run(state, sinceMs, by, countedDays, countedMs, id);
    },
    putBack(id) {
      sql.freePlaces.run(id);
      sql.freeProbes.run(id);
      sql.forget.run(id);
    },
    names: () => ({ places: sql.placeNames.all(), probes: sql.probeNames.all() }),
    places: (id) => sql.places.all(id).map(placeOf),
    probes,
    place(placeId) {
      const row = sql.place.get(placeId);
      if (!row) return null;
      const alarms = sql.alarmsOfPlace.all(placeId).map(({ body }) => alarmOfBody(body));
      return { place: placeOf(row), probes: sql.probesOfPlace.all(placeId), alarms };
    },
    removeSome(id) {
      const row = sql.item.get(id);
      return row ? removeSome(itemOf(row), probes(id), { db, ...parts }) : false;
    },
  };
}

function itemOf({ body, ...row }: Row): ArchiveItem {
  // written by add() alone, so its shape is ours
  return { ...row, body: JSON.parse(body) as ArchiveBody };
}
