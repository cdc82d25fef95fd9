import { PLACE_KINDS, type Place, readPlaceSettings } from '../../../../shared/model/place.ts';
import type { Probe } from '../../../../shared/model/probes/probe.ts';
import type { HandTargets } from '../../../domain/batches/timeline.ts';
import { type ReadTargets as Read, readTargets } from '../../../domain/places/default-targets.ts';
import type { NewProbe, Places, Probes } from '../../../ports.ts';
import type { Db } from '../database.ts';
import type { RecordJournal } from '../readings/journal.ts';
import type { SettledHours } from '../readings/settled.ts';
import { leaveEntries } from './diary.ts';

export type PlaceRow = { id: string; name: string; kind: string; invented: number; settings: string };
type TargetsRow = { fromMs: number; enteredMs: number; body: string; entered: number; ofBatches: number };

/** Places and their targets in SQLite. */
export function sqlitePlaces(
  db: Db,
  {
    journal,
    settled,
  }: { journal: Pick<RecordJournal, 'removeProbes'>; settled: Pick<SettledHours, 'reload'> },
): Places {
  const all = db.prepare<[], PlaceRow>('SELECT * FROM place WHERE archive_id IS NULL ORDER BY rowid');
  const add = db.prepare('INSERT INTO place (id, name, kind, invented, settings) VALUES (?, ?, ?, ?, ?)');
  const update = db.prepare('UPDATE place SET name = ?, kind = ?, settings = ? WHERE id = ?');
  const entries = db.prepare<[string], TargetsRow>(
    `SELECT from_ms AS fromMs, entered_ms AS enteredMs, body, entered, of_batches AS ofBatches
     FROM targets WHERE place_id = ? ORDER BY of_batches, id`,
  );
  const probesOf = db.prepare<[string], { id: number }>('SELECT id FROM probe WHERE place_id = ?');
  const addEntry = db.prepare(
    `INSERT INTO targets (place_id, from_ms, entered_ms, body, entered, of_batches) VALUES (?, ?, ?, ?, ?, ?)`,
  );
  const clearTimeline = db.prepare('DELETE FROM targets WHERE place_id = ? AND of_batches = 1');
  const ofDemo = db.prepare<[], string>('SELECT id FROM place WHERE invented = 1 ORDER BY rowid').pluck();
  return {
    all: () => all.all().map(placeOf),
    ofDemo: () => ofDemo.all(),
    add: (p) => void add.run(p.id, p.name, p.kind, p.invented ? 1 : 0, JSON.stringify(p.settings)),
    update(p) {
      update.run(p.name, p.kind, JSON.stringify(p.settings), p.id);
      settled.reload();
    },
    removeWithRecord(placeId) {
      journal.removeProbes(probesOf.all(placeId).map(({ id }) => id));
      removeWithRecord(db, placeId);
      settled.reload();
    },
    targetsEntries: (placeId) => readEntries(entries.all(placeId)).map(({ entered: _, ...entry }) => entry),
    handTargets: (placeId) => readEntries(entries.all(placeId).filter(({ ofBatches }) => ofBatches === 0)),
    addTargets: (placeId, { fromMs, enteredMs, targets, entered = 0 }) =>
      void addEntry.run(placeId, fromMs, enteredMs, JSON.stringify(targets), entered, 0),
    putTimeline(placeId, timeline) {
      clearTimeline.run(placeId);
      for (const { fromMs, enteredMs, targets } of timeline)
        addEntry.run(placeId, fromMs, enteredMs, JSON.stringify(targets), 0, 1);
    },
  };
}

function readEntries(rows: readonly TargetsRow[]): HandTargets[] {
  const read = readTargets(rows.map(({ body }) => body));
  return rows.map(({ fromMs, enteredMs, entered }, i) => ({
    fromMs,
    enteredMs,
    entered,
    targets: (read[i] as Read).targets,
  }));
}

export const PROBE_COLUMNS = 'id, device, name, quantity, unit, place_id AS placeId, conflicts';

/** Probes in SQLite. */
export function sqliteProbes(db: Db, settled: Pick<SettledHours, 'reload'>): Probes {
  const columns = PROBE_COLUMNS;
  const all = db.prepare<[], Probe>(`SELECT ${columns} FROM probe WHERE archive_id IS NULL ORDER BY id`);
  const add = db.prepare<[string, string, string | null, string, string | null], Probe>(
    `INSERT INTO probe (device, name, quantity, unit, place_id) VALUES (?, ?, ?, ?, ?) RETURNING ${columns}`,
  );
  const conflict = db.prepare<[number]>('UPDATE probe SET conflicts = conflicts + 1 WHERE id = ?');
  const fromFile = db.prepare<[], number>('SELECT id FROM probe WHERE from_file = 1').pluck();
  const setFromFile = db.prepare<[number, number]>('UPDATE probe SET from_file = ? WHERE id = ?');
  return {
    all: () => all.all(),
    add({ device, name, quantity, unit, placeId }: NewProbe): Probe {
      const probe = add.get(device, name, quantity, unit, placeId);
      if (!probe) throw new Error('the database returned no row for a new probe');
      settled.reload();
      return probe;
    },
    countConflict: (probeId) => void conflict.run(probeId),
    fromFile: () => fromFile.all(),
    setFromFile: (probeId, value) => void setFromFile.run(value ? 1 : 0, probeId),
  };
}

export function placeOf(row: PlaceRow): Place {
  const kind = PLACE_KINDS.find((known) => known === row.kind) ?? 'unstated';
  const { settings } = readPlaceSettings(row.settings);
  return { id: row.id, name: row.name, kind, invented: row.invented === 1, settings };
}

/**
 * What becomes of batches when a place is removed: they do not stand there any more, and one that stood nowhere else goes.
 */
const LEAVING_BATCHES: readonly string[] = [
  'DELETE FROM leading WHERE place_id = @placeId',
  `DELETE FROM batch WHERE place_id = @placeId
     AND id NOT IN (SELECT batch_id FROM batch_move WHERE place_id IS NOT NULL AND place_id != @placeId)`,
  `DELETE FROM batch WHERE place_id IS NULL AND id IN (SELECT batch_id FROM batch_move WHERE place_id = @placeId)
     AND id NOT IN (SELECT batch_id FROM batch_move WHERE place_id IS NOT NULL AND place_id != @placeId)`,
  'UPDATE batch SET place_id = NULL WHERE place_id = @placeId',
  'UPDATE batch_move SET place_id = NULL WHERE place_id = @placeId',
];

/** Takes the batches of a place from it, inside the caller's transaction. @returns how many rows changed */
export function leaveBatches(placeId: string, db: Db): number {
  return LEAVING_BATCHES.reduce((changes, sql) => changes + db.prepare(sql).run({ placeId }).changes, 0);
}

function removeWithRecord(db: Db, placeId: string): void {
  const statements = [
    'DELETE FROM alarm_event WHERE alarm_id IN (SELECT id FROM alarm WHERE place_id = ?)',
    'DELETE FROM alarm WHERE place_id = ?',
    'DELETE FROM probe WHERE place_id = ?',
    'DELETE FROM targets WHERE place_id = ?',
    'DELETE FROM settled WHERE place_id = ?',
    'DELETE FROM settled_day WHERE place_id = ?',
    'DELETE FROM place WHERE id = ?',
  ];
  leaveBatches(placeId, db);
  leaveEntries(placeId, db);
  for (const sql of statements) db.prepare(sql).run(placeId);
  // an item whose place or probes are gone holds nothing that could be restored
  db.prepare(
    `DELETE FROM archive_item WHERE NOT (kind = 'device' AND name IN (SELECT name FROM device))
       AND id NOT IN (SELECT archive_id FROM place WHERE archive_id IS NOT NULL)
       AND id NOT IN (SELECT archive_id FROM probe WHERE archive_id IS NOT NULL)`,
  ).run();
}
