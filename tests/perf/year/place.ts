import { openStore } from '../../../server/adapters/sqlite/store.ts';
import { World } from '../../../server/daemon/world/world.ts';
import type { Place } from '../../../shared/model/place.ts';

/** The place whose year is recorded: 4 probes at 10 s. */
export const PLACE_ID = 'year';
export const TIME_ZONE = 'Europe/Vienna';
export const DAY_MS = 86_400_000;
export const YEAR_START_MS = Date.UTC(2025, 0, 1);
export const RECORD_FILE = 'record.db';
export const TABLE_FILE = 'table.db';
export const DUCKDB_FILE = 'readings.duckdb';

/** Opens the record with its place, as a command of the daemon does. */
export function openYear(file: string, days: number) {
  const store = openStore({ file, nowMs: YEAR_START_MS });
  const world = new World(store);
  const nowMs = YEAR_START_MS + (days + 1) * DAY_MS;
  return { store, world, context: { store, world, timeZone: TIME_ZONE, nowMs } };
}

/** The place of an opened record. */
export function placeOf({ world }: { world: World }): Place {
  const place = world.places.get(PLACE_ID);
  if (!place) throw new Error('the record holds no place');
  return place;
}
