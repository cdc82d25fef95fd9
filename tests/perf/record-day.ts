import { readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { z } from 'zod';
import { HOURS_A_TURN } from '../../server/daemon/upkeep/sealer.ts';
import { temporaryFolder } from '../support/folders.ts';
import { answer } from './in-child.ts';
import { type Fleet, messageOf, packsOf } from './packs.ts';
import { DAY_START_MS, simulatedDaemon } from './simulated.ts';

/** A day of a fleet through the daemon and into a plain table, in one process, with the process's write counters. */
const fleetSchema = z.object({
  devices: z.number(),
  probesADevice: z.number(),
  steps: z.number(),
  stepsAPack: z.number(),
  jitterMs: z.number(),
  seed: z.number(),
});
const LATER_MS = 2 * 86_400_000;

await answer(fleetSchema, async (fleet) => {
  const folder = temporaryFolder('day');
  const ours = await throughTheDaemon(fleet, join(folder, 'ours.db'));
  const table = intoATable(fleet, join(folder, 'table.db'));
  return { readings: fleet.devices * fleet.probesADevice * fleet.steps, ours, table };
});

async function throughTheDaemon(fleet: Fleet, file: string) {
  const simulated = simulatedDaemon(file);
  const { store, hand } = simulated;
  const before = written();
  for (const pack of packsOf(fleet, DAY_START_MS)) {
    hand.pass(pack.sentMs - hand.clock.nowMs());
    await simulated.take([messageOf(pack, fleet.jitterMs === 0)]);
  }
  while (store.journal.seal({ nowMs: DAY_START_MS + LATER_MS, limit: HOURS_A_TURN }).more);
  simulated.close();
  return since(before, file);
}

function intoATable(fleet: Fleet, file: string) {
  const db = new Database(file);
  db.pragma('journal_mode = WAL');
  db.pragma('synchronous = FULL');
  db.exec(
    `CREATE TABLE reading (probe_id INTEGER, t_ms INTEGER, value REAL, PRIMARY KEY (probe_id, t_ms)) WITHOUT ROWID`,
  );
  const insert = db.prepare('INSERT INTO reading VALUES (?, ?, ?)');
  const before = written();
  for (const { device, sensors, timesMs } of packsOf(fleet, DAY_START_MS)) {
    db.transaction(() => {
      for (const tMs of timesMs)
        sensors.forEach(({ valueAt }, i) => {
          insert.run(device * fleet.probesADevice + i, tMs, valueAt(tMs));
        });
    }).immediate();
  }
  db.close();
  return since(before, file);
}

type Written = { readonly wchar: number; readonly writeBytes: number };

function since(before: Written, file: string) {
  const now = written();
  return {
    fileBytes: statSync(file).size,
    wchar: now.wchar - before.wchar,
    writeBytes: now.writeBytes - before.writeBytes,
  };
}

function written(): Written {
  const counters = readFileSync('/proc/self/io', 'utf8');
  const counter = (name: string) => Number(new RegExp(`^${name}: (\\d+)$`, 'm').exec(counters)?.[1]);
  return { wchar: counter('wchar'), writeBytes: counter('write_bytes') };
}
