import Database from 'better-sqlite3';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { newAlarm } from '../../server/domain/alarms/record.ts';
import type { Store } from '../../server/ports.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../shared/model/place.ts';
import { furtherRows, OF, type Value } from './full-record-rows.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** Hours of readings: so many days before now. */
const OLD_DAYS = 60;

/**
 * Makes a record with at least one row in every table: readings that were dropped to minutes, sealed and new, alarms,
 * people, messages, accounts, devices that wait and things in the archive.
 *
 * @param file must not exist
 * @param options.nowMs ms since epoch
 */
export async function makeFullRecord(file: string, { nowMs }: { nowMs: number }): Promise<void> {
  const store = openStore({ file, nowMs: nowMs - OLD_DAYS * DAY_MS });
  store.places.add({
    id: OF.name,
    name: 'Bench 1',
    kind: 'bench',
    invented: false,
    settings: DEFAULT_PLACE_SETTINGS,
  });
  store.places.add({
    id: 'old',
    name: 'Old dome',
    kind: 'dome',
    invented: false,
    settings: DEFAULT_PLACE_SETTINGS,
  });
  const probeOf = (device: string, placeId: string | null) =>
    store.probes.add({ device, name: OF.probe, quantity: OF.probe, unit: '°C', placeId }).id;
  const probeId = probeOf(OF.device, OF.name);
  const oldProbe = probeOf('node-2', 'old');
  const reading = (id: number, tMs: number) => ({ probeId: id, tMs, value: 20 + ((tMs / 60_000) % 50) / 10 });
  const hourNow = Math.floor(nowMs / HOUR_MS);
  const oldHour = hourNow - OLD_DAYS * 24;
  const write = (id: number, hour: number, minutes: number) =>
    store.transaction(() => {
      for (let minute = 0; minute < minutes; minute += 1)
        store.journal.append(reading(id, hour * HOUR_MS + minute * 60_000));
    });
  for (const hour of [oldHour, oldHour + 1, hourNow - 4, hourNow - 3])
    for (const id of [probeId, oldProbe]) write(id, hour, 60);
  while (store.journal.seal({ nowMs, limit: 50 }).more);
  store.transaction(() => {
    store.horizon.set({ countedHour: oldHour + 50, droppedHour: oldHour + 1 });
    store.journal.dropReadings(oldHour, [probeId], (_, record) => record);
  });
  write(probeId, hourNow - 1, 30);
  saveAlarm(store, { nowMs, probeId });
  archiveOld(store, { nowMs, probeId: oldProbe });
  store.close();
  const db = new Database(file);
  const rows = await furtherRows({ nowMs, probeId, oldHour, reading });
  db.transaction(() => {
    for (const [table, row] of Object.entries(rows)) insert(db, table, row);
  })();
  db.pragma('journal_mode = DELETE');
  db.close();
}

function saveAlarm(store: Store, { nowMs, probeId }: { nowMs: number; probeId: number }): void {
  store.alarms.save({
    ...newAlarm({ placeId: OF.name, rule: 'air-over-ceiling' }),
    state: 'acknowledged',
    raisedAtMs: nowMs - 2 * HOUR_MS,
    acknowledgedAtMs: nowMs - HOUR_MS,
    acknowledgedBy: 'Sam',
    conditions: {
      [probeId]: {
        phase: 'standing',
        sinceMs: nowMs - 2 * HOUR_MS,
        lastMs: nowMs - HOUR_MS,
        elapsedMs: 0,
        pace: 1,
      },
    },
    facts: {
      kind: 'past-limit',
      value: 29.4,
      limit: 26.7,
      worst: 30.1,
      slopePerMin: null,
      sinceMs: nowMs - 2 * HOUR_MS,
      atMs: nowMs - HOUR_MS,
    },
  });
}

function archiveOld(store: Store, { nowMs, probeId }: { nowMs: number; probeId: number }): void {
  store.archive.add(
    {
      kind: 'place',
      name: 'Old dome',
      state: 'archived',
      sinceMs: nowMs - DAY_MS,
      by: 'Sam',
      countedDays: 0,
      countedMs: nowMs - DAY_MS,
      body: {
        contents: {
          places: [{ id: 'old', name: 'Old dome' }],
          devices: ['node-2'],
          probes: 1,
          readingsFrom: null,
          readingsTo: null,
          activeAlarms: 0,
          alarms: 0,
          entries: 0,
        },
        alarms: [],
        login: null,
      },
    },
    { placeIds: ['old'], probeIds: [probeId] },
  );
}

function insert(db: Database.Database, table: string, row: Readonly<Record<string, Value>>): void {
  const names = Object.keys(row);
  const values = names.map(() => '?').join(', ');
  db.prepare(`INSERT INTO ${table} (${names.join(', ')}) VALUES (${values})`).run(...Object.values(row));
}
