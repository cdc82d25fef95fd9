import { existsSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import Database from 'better-sqlite3';
import { openDatabase, readMigrations } from '../../server/adapters/sqlite/database.ts';
import { encodeGroup } from '../../server/domain/seal/group.ts';
import { keyOf, type Storm, startStorm } from '../journey/storm.ts';
import { startChild } from '../support/child.ts';
import { LAUNCHER } from '../support/command.ts';
import { plainEnvironment } from '../support/environment.ts';
import { untilHeard } from '../support/herald.ts';
import { openRecord } from '../support/record.ts';
import { seededNumbers } from '../support/seeded.ts';
import { until } from '../support/wait.ts';
import type { FaultCase, Outcome } from './outcome.ts';
import {
  accountFor,
  addPerson,
  type BrokerPath,
  doubledCalls,
  openStage,
  type Stage,
  wokenAfter,
} from './stage.ts';

/** What the daemon is doing when it is killed. */
type Phase = {
  readonly name: string;
  readonly short: number;
  readonly long: number;
  /** waits until it does; the kill follows at once */
  readonly reach: (stage: Stage, chance: () => number) => Promise<void>;
  /** what may be wrong beside readings and calls; throws where it is */
  readonly after?: (stage: Stage) => Promise<void>;
};

const WITHIN_MS = 40_000;

/** Waits until rows were written to a table since now, then some ms more. */
async function untilWritten({ daemon }: Stage, table: string, moreMs: number): Promise<void> {
  const db = new Database(join(daemon.dataDir, 'strikewell.db'), { readonly: true });
  try {
    const count = db.prepare<[], { n: number }>(`SELECT count(*) AS n FROM ${table}`);
    const before = count.get()?.n ?? 0;
    const grown = () => ((count.get()?.n ?? 0) > before ? true : null);
    await until(grown, { what: `rows in ${table}`, withinMs: WITHIN_MS, everyMs: 1 });
  } finally {
    db.close();
  }
  await sleep(moreMs);
}

const PHASES: readonly Phase[] = [
  {
    name: 'taking readings',
    short: 2,
    long: 20,
    reach: async (_stage, chance) => void (await sleep(50 + 400 * chance())),
  },
  {
    name: 'sealing hours',
    short: 1,
    long: 20,
    reach: (stage, chance) => untilWritten(stage, 'sealed', 20 * chance()),
  },
  {
    name: 'settling exposures',
    short: 1,
    long: 20,
    reach: (stage, chance) => untilWritten(stage, 'settled', 20 * chance()),
  },
  {
    name: 'making a backup',
    short: 1,
    long: 20,
    reach: async ({ daemon }, chance) => {
      await daemon.post('/api/v1/backups');
      await sleep(150 * chance());
    },
    after: async ({ daemon }) => expectSoundBackups(daemon.dataDir),
  },
  {
    name: 'calling people',
    short: 1,
    long: 20,
    reach: async (stage, chance) => {
      const bench = `call-${Math.floor(chance() * 1e9)}`;
      const woken = wokenAfter(stage, { bench, sinceMs: performance.now() });
      await Promise.race([untilWritten(stage, 'outbox', 30 * chance()), woken]);
    },
  },
];

/** A backup that is finished is whole; what was cut off is not among them. */
function expectSoundBackups(dataDir: string): void {
  const folder = join(dataDir, 'backups');
  const names = existsSync(folder) ? readdirSync(folder).filter((name) => name.endsWith('.db')) : [];
  for (const name of names) {
    const db = new Database(join(folder, name), { readonly: true });
    const verdict = db.pragma('integrity_check', { simple: true });
    db.close();
    if (verdict !== 'ok') throw new Error(`the backup ${name} is not sound: ${String(verdict)}`);
  }
}

async function killed(
  path: BrokerPath,
  phase: Phase,
  how: { tries: number; seed: number },
): Promise<Outcome> {
  const stage = await openStage(path);
  const chance = seededNumbers(how.seed);
  let storm: Storm | null = null;
  const [wokenMs, backMs]: [(number | null)[], number[]] = [[], []];
  try {
    await heard(stage);
    storm = startStorm({
      broker: stage.broker,
      clients: 3,
      underWay: 10,
      restMs: path === 'outside' ? 5 : 0,
      seed: how.seed,
    });
    for (let kill = 0; kill < how.tries; kill += 1) {
      await phase.reach(stage, chance);
      const sinceMs = performance.now();
      await stage.daemon.kill();
      await stage.daemon.start();
      backMs.push(performance.now() - sinceMs);
      wokenMs.push(await wokenAfter(stage, { bench: `hot-${kill}`, sinceMs }));
      await phase.after?.(stage);
    }
    await storm.end();
    const { lost, doubled } = await accountFor(stage, storm.acknowledgedKeys, keyOf);
    return { tries: how.tries, lost, doubled: doubled + doubledCalls(stage.webhook), wokenMs, backMs };
  } finally {
    await storm?.end();
    await stage.close();
  }
}

/** With an outside broker the daemon must have subscribed before anything counts as acknowledged. */
async function heard({ daemon, broker, mosquitto }: Stage): Promise<void> {
  if (mosquitto === null) return;
  const record = openRecord(daemon.dataDir);
  await untilHeard({ broker, record, device: 'herald' });
  record.close();
}

/** A kill while a backup is put in the place of the record: the one or the other is there, whole. */
async function killedRestoring({ tries, seed }: { tries: number; seed: number }): Promise<Outcome> {
  const stage = await openStage('embedded');
  const chance = seededNumbers(seed);
  const { daemon } = stage;
  const [wokenMs, backMs]: [(number | null)[], number[]] = [[], []];
  let lost = 0;
  try {
    const storm = startStorm({ broker: stage.broker, clients: 2, underWay: 5, restMs: 0, seed });
    await until(() => (storm.acknowledged() > 2_000 ? true : null), { what: 'storm', withinMs: WITHIN_MS });
    await storm.end();
    const backup = await madeBackup(stage);
    for (let kill = 0; kill < tries; kill += 1) {
      await daemon.stop();
      const restoring = startChild({
        command: process.execPath,
        args: [LAUNCHER, 'restore', backup, '--overwrite'],
        env: plainEnvironment({ STRIKEWELL_DATA_DIR: daemon.dataDir }),
      });
      await sleep(200 + 1_200 * chance());
      const sinceMs = performance.now();
      await restoring.end('SIGKILL');
      await daemon.start();
      backMs.push(performance.now() - sinceMs);
      lost += (await accountFor(stage, storm.acknowledgedKeys, keyOf)).lost;
      wokenMs.push(await wokenAfter(stage, { bench: `hot-${kill}`, sinceMs }));
    }
    return { tries, lost, doubled: doubledCalls(stage.webhook), wokenMs, backMs };
  } finally {
    await stage.close();
  }
}

async function madeBackup({ daemon }: Stage): Promise<string> {
  const folder = join(daemon.dataDir, 'backups');
  await daemon.post('/api/v1/backups');
  return until(
    () => {
      const name = existsSync(folder) ? readdirSync(folder).find((one) => one.endsWith('.db')) : undefined;
      return name === undefined ? null : join(folder, name);
    },
    { what: 'backup', withinMs: WITHIN_MS, everyMs: 50 },
  );
}

/** A kill while a record of the oldest version is brought to the newest. */
async function killedMigrating({ tries, seed }: { tries: number; seed: number }): Promise<Outcome> {
  const stage = await openStage('embedded');
  const chance = seededNumbers(seed);
  const { daemon } = stage;
  const [wokenMs, backMs]: [(number | null)[], number[]] = [[], []];
  let lost = 0;
  try {
    for (let kill = 0; kill < tries; kill += 1) {
      await daemon.stop();
      const keys = putOldRecord(daemon.dataDir);
      const starting = startChild({
        command: process.execPath,
        args: [LAUNCHER, 'serve'],
        env: plainEnvironment({
          STRIKEWELL_DATA_DIR: daemon.dataDir,
          STRIKEWELL_HTTP_PORT: String(daemon.httpPort),
          STRIKEWELL_MQTT_PORT: String(daemon.mqttPort),
        }),
      });
      await sleep(400 + 1_000 * chance());
      const sinceMs = performance.now();
      await starting.end('SIGKILL');
      await daemon.start();
      backMs.push(performance.now() - sinceMs);
      lost += (await accountFor(stage, keys, keyOf)).lost;
      await addPerson(daemon, stage.webhook.url);
      wokenMs.push(await wokenAfter(stage, { bench: `hot-${kill}`, sinceMs }));
    }
    return { tries, lost, doubled: doubledCalls(stage.webhook), wokenMs, backMs };
  } finally {
    await stage.close();
  }
}

const OLDEST_VERSION = 1;
const OLD_READINGS = 1_000;

/** Puts a record of the first version in the place of the daemon's. @returns its readings, by key */
function putOldRecord(dataDir: string): ReadonlySet<string> {
  for (const name of readdirSync(dataDir).filter((one) => one.startsWith('strikewell.db')))
    rmSync(join(dataDir, name));
  const migrations = readMigrations().filter(({ version }) => version <= OLDEST_VERSION);
  const db = openDatabase({ file: join(dataDir, 'strikewell.db'), nowMs: Date.now(), migrations });
  db.prepare(
    "INSERT INTO probe (id, device, name, quantity, unit) VALUES (1, 'old', 'air/temperature', 'air/temperature', '°C')",
  ).run();
  const firstMs = Date.now() - 1_000 * OLD_READINGS;
  const readings = Array.from({ length: OLD_READINGS }, (_, k) => ({
    probeId: 1,
    tMs: firstMs + 1_000 * k,
    value: 20 + (k % 50) / 10,
  }));
  db.prepare('INSERT INTO journal (body) VALUES (?)').run(encodeGroup(readings));
  db.close();
  return new Set(
    readings.map(({ tMs, value }) => keyOf({ device: 'old', probe: 'air/temperature', tMs, value })),
  );
}

const PATHS: readonly BrokerPath[] = ['embedded', 'outside'];
const AT: Readonly<Record<BrokerPath, string>> = { embedded: 'own broker', outside: 'Mosquitto' };

/** Deaths of the daemon in every phase, at both brokers, and of a restore. */
export const KILLS: readonly FaultCase[] = [
  ...PHASES.flatMap((phase) =>
    PATHS.map(
      (path): FaultCase => ({
        name: `killed while ${phase.name}, ${AT[path]}`,
        short: phase.short,
        long: phase.long,
        run: (how) => killed(path, phase, how),
      }),
    ),
  ),
  { name: 'killed while an old record is migrated', short: 1, long: 20, run: killedMigrating },
  { name: 'killed while restoring a backup', short: 1, long: 20, run: killedRestoring },
];
