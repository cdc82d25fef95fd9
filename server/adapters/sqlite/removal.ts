import type { Probe } from '../../../shared/model/probes/probe.ts';
import type { ArchiveItem } from '../../ports.ts';
import type { Db } from './database.ts';
import type { RecordJournal } from './readings/journal.ts';
import type { SettledHours } from './readings/settled.ts';
import type { CorrectionRows } from './tables/corrections.ts';
import { leaveEntries } from './tables/diary.ts';
import { leaveBatches } from './tables/places.ts';

/** Most rows removed in one transaction: a few milliseconds, so that messages never wait long. */
const ROWS_A_STEP = 200;

export type RemovalParts = {
  readonly journal: Pick<RecordJournal, 'removeSome'>;
  readonly settled: Pick<SettledHours, 'reload'>;
  readonly corrections: Pick<CorrectionRows, 'forget'>;
};

/** What hangs on a probe, on a place and on its alarms: each with the key by which a few rows of it are chosen. */
const OF_PROBE = [
  { table: 'sealed', column: 'probe_id', key: 'hour' },
  { table: 'correction', column: 'probe_id', key: 'id' },
  { table: 'probe_check', column: 'probe_id', key: 'id' },
  { table: 'check_due', column: 'probe_id', key: 'probe_id' },
  { table: 'set_aside', column: 'probe_id', key: 'id' },
  { table: 'probe', column: 'id', key: 'id' },
] as const;
const OF_ALARM = [
  { table: 'alarm_event', column: 'alarm_id', key: 'id' },
  { table: 'outbox', column: 'alarm_id', key: 'id' },
  { table: 'calling', column: 'alarm_id', key: 'alarm_id' },
  { table: 'alarm', column: 'id', key: 'id' },
] as const;
const OF_PLACE = [
  { table: 'targets', column: 'place_id', key: 'id' },
  { table: 'leading', column: 'place_id', key: 'id' },
  { table: 'settled', column: 'place_id', key: 'day' },
  { table: 'settled_day', column: 'place_id', key: 'from_ms' },
  { table: 'place', column: 'id', key: 'id' },
] as const;
type Rows = { readonly table: string; readonly column: string; readonly key: string };
type Removing = RemovalParts & { readonly db: Db };

/**
 * Removes a few rows of an item, in one transaction. What was begun is found again by what is left, so a death in the
 * middle loses and doubles nothing. The item itself goes last.
 * @returns true while more is left
 */
export function removeSome(item: ArchiveItem, probes: readonly Probe[], removing: Removing): boolean {
  const { db, journal, settled, corrections } = removing;
  if (
    journal.removeSome(
      probes.map(({ id }) => id),
      ROWS_A_STEP,
    )
  )
    return true;
  const removed = db
    .transaction(() => {
      const placeIds = db
        .prepare<[number], string>('SELECT id FROM place WHERE archive_id = ?')
        .pluck()
        .all(item.id);
      const step =
        stepOf(
          OF_PROBE,
          probes.map(({ id }) => id),
          db,
        ) ??
        stepOf(OF_ALARM, alarmsOf(placeIds, db), db) ??
        batchesLeave(placeIds, db) ??
        stepOf(OF_PLACE, placeIds, db);
      if (step === null) finish(item, db);
      return step;
    })
    .immediate();
  // the number of a probe may be given to another at once
  if (removed === 'probe') corrections.forget();
  if (removed === null) settled.reload();
  return removed !== null;
}

/** Removes rows of the first table that has any for one of the keys. @returns the table, or null when none had any */
function stepOf(tables: readonly Rows[], keys: readonly (string | number)[], db: Db): string | null {
  for (const { table, column, key } of tables) {
    const remove = db.prepare<[string | number, string | number, number]>(
      `DELETE FROM ${table} WHERE ${column} = ?
         AND ${key} IN (SELECT ${key} FROM ${table} WHERE ${column} = ? LIMIT ?)`,
    );
    let room = ROWS_A_STEP;
    for (const value of keys) {
      room -= remove.run(value, value, room).changes;
      if (room === 0) return table;
    }
    if (room < ROWS_A_STEP) return table;
  }
  return null;
}

/** Batches and what was written of them are people's own: those that stood elsewhere too stay, without the place. */
function batchesLeave(placeIds: readonly string[], db: Db): 'batch' | null {
  const leave = (placeId: string) => leaveBatches(placeId, db) + leaveEntries(placeId, db);
  const changes = placeIds.reduce((sum, placeId) => sum + leave(placeId), 0);
  return changes === 0 ? null : 'batch';
}

function alarmsOf(placeIds: readonly string[], db: Db): string[] {
  const alarms = db.prepare<[string], string>('SELECT id FROM alarm WHERE place_id = ?').pluck();
  return placeIds.flatMap((placeId) => alarms.all(placeId));
}

/** The item goes, and with it what is kept under the names of devices of which nothing is left. */
function finish({ id, kind, name, body }: ArchiveItem, db: Db): void {
  if (kind === 'device') db.prepare("DELETE FROM device WHERE name = ? AND state = 'retired'").run(name);
  const isLeft = db.prepare<[string, string], number>(
    'SELECT EXISTS (SELECT 1 FROM probe WHERE device = ?) + EXISTS (SELECT 1 FROM device WHERE name = ?)',
  );
  const gone = body.contents.devices.filter((device) => isLeft.pluck().get(device, device) === 0);
  for (const device of gone) db.prepare('DELETE FROM refused WHERE device = ?').run(device);
  db.prepare('DELETE FROM archive_item WHERE id = ?').run(id);
  // items whose probes went with their place hold nothing any more
  db.prepare(
    `DELETE FROM archive_item WHERE kind != 'place' AND NOT (kind = 'device' AND name IN (SELECT name FROM device))
       AND id NOT IN (SELECT archive_id FROM place WHERE archive_id IS NOT NULL)
       AND id NOT IN (SELECT archive_id FROM probe WHERE archive_id IS NOT NULL)`,
  ).run();
}
