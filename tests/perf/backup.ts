import { statSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import Database from 'better-sqlite3';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { openStore } from '../../server/adapters/sqlite/store.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { until } from '../support/wait.ts';
import { type Figure, quantile } from './figure.ts';
import type { Sizes } from './sizes.ts';
import { STEP_MS, sensorsOf } from './workload.ts';

const HOUR_MS = 3_600_000;
const START_MS = Date.UTC(2025, 5, 1);
/** A pack of 5 readings is sent this long after the last was acknowledged, ms. */
const PAUSE_MS = 10;
const PROBES = 5;
/** What a sealed hour takes in the file, with its share of the pages. */
const HOUR_BYTES = 620;
const backupsSchema = z.object({ running: z.object({}).nullable(), lastError: z.string().nullable() });

/** How long a backup of a large record takes, and how long acknowledgements take meanwhile. */
export async function backupWhileWriting(sizes: Sizes): Promise<Figure[]> {
  const daemon = await startDaemon();
  await daemon.stop();
  makeLarge(join(daemon.dataDir, 'strikewell.db'), sizes.backupMegabytes);
  await daemon.start();
  // a large record is checked beside the daemon that was just started
  await sleep(sizes.idleMs);
  const megabytes = statSync(join(daemon.dataDir, 'strikewell.db')).size / 1e6;
  const quiet: number[] = [];
  const busy: number[] = [];
  const tookMs: number[] = [];
  for (let round = 0; round < sizes.backupRounds; round += 1) {
    const alone = sleep(sizes.idleMs / 2, true);
    quiet.push(...(await acknowledgedMs(daemon, alone)));
    const startMs = performance.now();
    await daemon.post('/api/v1/backups');
    const done = backupDone(daemon).finally(() => tookMs.push(performance.now() - startMs));
    busy.push(...(await acknowledgedMs(daemon, done)));
  }
  await daemon.close();
  const name = `backup of ${Math.round(megabytes)} MB, ${sizes.backupRounds} times, `;
  const beside = (part: number) => ({ name: 'without a backup', value: quantile(quiet, part) });
  return [
    { name: `${name}copied and proved, median`, value: quantile(tookMs, 0.5), unit: 'ms' },
    {
      name: `${name}acknowledgement meanwhile, median`,
      value: quantile(busy, 0.5),
      unit: 'ms',
      of: beside(0.5),
    },
    {
      name: `${name}acknowledgement meanwhile, worst`,
      value: quantile(busy, 1),
      unit: 'ms',
      of: beside(1),
    },
  ];
}

/** One hour sealed by the store, and its row again and again until the file is as large. */
function makeLarge(file: string, megabytes: number): void {
  const store = openStore({ file, nowMs: START_MS });
  const [air] = sensorsOf({ count: 1, seed: 1 });
  if (!air) throw new Error('no sensor');
  const { quantity, unit, valueAt } = air;
  const probeId = store.probes.add({ device: 'large', name: quantity, quantity, unit, placeId: null }).id;
  store.transaction(() => {
    for (let tMs = START_MS; tMs < START_MS + HOUR_MS; tMs += STEP_MS)
      store.journal.append({ probeId, tMs, value: valueAt(tMs) });
  });
  while (store.journal.seal({ nowMs: START_MS + 2 * HOUR_MS, limit: 1 }).more);
  store.close();
  const db = new Database(file);
  const columns = db.pragma('table_info(sealed)') as { name: string }[];
  const others = columns.map(({ name }) => (name === 'hour' ? 'hour - ago.hours' : name)).join(', ');
  const again =
    db.prepare(`WITH RECURSIVE ago(hours) AS (SELECT 1 UNION ALL SELECT hours + 1 FROM ago WHERE hours < ?)
    INSERT INTO sealed SELECT ${others} FROM sealed, ago WHERE hour = ${START_MS / HOUR_MS}`);
  again.run(Math.ceil((megabytes * 1e6) / HOUR_BYTES));
  db.close();
}

/** How long each of many small packs takes to be acknowledged, one after the other, until something is done. */
async function acknowledgedMs(daemon: Daemon, done: Promise<unknown>): Promise<number[]> {
  const publisher = await connectPublisher({ url: daemon.mqttUrl });
  const sensors = sensorsOf({ count: PROBES, seed: 2 });
  const latenciesMs: number[] = [];
  let goesOn = true;
  void done.finally(() => {
    goesOn = false;
  });
  while (goesOn) {
    const nowMs = Date.now();
    const records = sensors.map(({ name, unit, valueAt }) => ({ n: name, u: unit, v: valueAt(nowMs) }));
    const startMs = performance.now();
    await publisher.publish({ topic: readingsTopic('writing'), payload: JSON.stringify(records) });
    latenciesMs.push(performance.now() - startMs);
    await sleep(PAUSE_MS);
  }
  await done;
  await publisher.close();
  return latenciesMs;
}

async function backupDone(daemon: Daemon): Promise<void> {
  const ended = async () => {
    const { running, lastError } = await daemon.read('/api/v1/backups', backupsSchema);
    if (lastError !== null) throw new Error(lastError);
    return running === null ? true : null;
  };
  await until(ended, { what: 'end of the backup', withinMs: 120_000, everyMs: 20 });
}
