import { join } from 'node:path';
import { DuckDBInstance } from '@duckdb/node-api';
import Database from 'better-sqlite3';
import { z } from 'zod';
import { HOURS_A_TURN } from '../../../server/daemon/upkeep/sealer.ts';
import { hoursToSettle, settleHours } from '../../../server/daemon/world/settled-exposures.ts';
import { DEFAULT_PLACE_SETTINGS } from '../../../shared/model/place.ts';
import { answer } from '../in-child.ts';
import { TARGET_SHEET_FILE } from '../simulated.ts';
import { type Sensor, STEP_MS, sensorsOf } from '../workload.ts';
import {
  DAY_MS,
  DUCKDB_FILE,
  openYear,
  PLACE_ID,
  placeOf,
  RECORD_FILE,
  TABLE_FILE,
  YEAR_START_MS,
} from './place.ts';

/** Makes the record of a place's year, sealed and settled, and one probe of it again as tables of two rivals. */
const orderSchema = z.object({ folder: z.string(), days: z.number(), seed: z.number() });
type Order = z.infer<typeof orderSchema>;

const QUANTITIES = ['air/temperature', 'air/humidity', 'root/temperature', 'light/ppfd'];
const HOURS_A_SETTLING = 31 * 24;

await answer(orderSchema, async (order) => {
  const sensors = sensorsOf({ count: 5, seed: order.seed });
  const four = QUANTITIES.map((name) => sensors.find(({ quantity }) => quantity === name) as Sensor);
  const settledHours = makeRecord(order, four);
  const [air] = four as [Sensor];
  makeTable(order, air);
  await makeDuckdb(order, air);
  return { settledHours };
});

function timesMs(days: number): number[] {
  return Array.from({ length: (days * DAY_MS) / STEP_MS }, (_, k) => YEAR_START_MS + k * STEP_MS);
}

function makeRecord({ folder, days }: Order, sensors: readonly Sensor[]): number {
  const { store } = openYear(join(folder, RECORD_FILE), days);
  const place = { id: PLACE_ID, name: PLACE_ID, kind: 'bench', invented: true } as const;
  store.places.add({ ...place, settings: DEFAULT_PLACE_SETTINGS });
  store.places.addTargets(PLACE_ID, { fromMs: 0, enteredMs: 0, targets: TARGET_SHEET_FILE.targets });
  const probes = sensors.map(({ quantity, unit, valueAt }) => {
    const named = { device: PLACE_ID, name: quantity, quantity, unit, placeId: PLACE_ID };
    return { probeId: store.probes.add(named).id, valueAt };
  });
  for (let day = 0; day < days; day += 1) {
    const startMs = YEAR_START_MS + day * DAY_MS;
    store.transaction(() => {
      for (let tMs = startMs; tMs < startMs + DAY_MS; tMs += STEP_MS)
        for (const { probeId, valueAt } of probes)
          store.journal.append({ probeId, tMs, value: valueAt(tMs) });
    });
    while (store.journal.seal({ nowMs: startMs + 2 * DAY_MS, limit: HOURS_A_TURN }).more);
  }
  store.close();
  return settle({ folder, days });
}

function settle({ folder, days }: Omit<Order, 'seed'>): number {
  const opened = openYear(join(folder, RECORD_FILE), days);
  const place = placeOf(opened);
  let settled = 0;
  for (;;) {
    const { first, end } = hoursToSettle(place, opened.context);
    if (first >= end) break;
    const until = Math.min(end, first + HOURS_A_SETTLING);
    settleHours(place, { first, end: until }, opened.context);
    settled += until - first;
  }
  opened.store.close();
  return settled;
}

function makeTable({ folder, days }: Order, { valueAt }: Sensor): void {
  const db = new Database(join(folder, TABLE_FILE));
  db.pragma('journal_mode = WAL');
  db.exec('CREATE TABLE reading (t_ms INTEGER PRIMARY KEY, value REAL)');
  const insert = db.prepare('INSERT INTO reading VALUES (?, ?)');
  db.transaction(() => {
    for (const tMs of timesMs(days)) insert.run(tMs, valueAt(tMs));
  })();
  db.close();
}

async function makeDuckdb({ folder, days }: Order, { valueAt }: Sensor): Promise<void> {
  const instance = await DuckDBInstance.create(join(folder, DUCKDB_FILE));
  const connection = await instance.connect();
  await connection.run('CREATE TABLE reading (t_ms BIGINT, value DOUBLE)');
  const appender = await connection.createAppender('reading');
  for (const tMs of timesMs(days)) {
    appender.appendBigInt(BigInt(tMs));
    appender.appendDouble(valueAt(tMs));
    appender.endRow();
  }
  appender.closeSync();
  await connection.run('CHECKPOINT');
  connection.closeSync();
  instance.closeSync();
}
