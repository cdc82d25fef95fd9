import { readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { openDatabase, readMigrations } from '../../server/adapters/sqlite/database.ts';
import { encodeGroup } from '../../server/domain/seal/group.ts';
import { keyOf, startStorm } from '../journey/storm.ts';
import { type Child, startChild } from '../support/child.ts';
import { LAUNCHER } from '../support/command.ts';
import { untilReady } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { seededNumbers } from '../support/seeded.ts';
import { until } from '../support/wait.ts';
import type { Notes, Outcome, Scene } from './outcome.ts';
import {
  AT,
  accountFor,
  addPerson,
  type BrokerPath,
  backupsOf,
  doubledCalls,
  mailSettings,
  openStage,
  PATHS,
  READY_WITHIN_MS,
  type Stage,
  wokenAfter,
} from './stage.ts';

const KILLS = { short: 1, long: 15 } as const;
/** Readings that are there when the record is put back. */
const BEFORE_READINGS = 2_000;
const WITHIN_MS = 40_000;

/** Work on the record of a daemon that is stopped, which is killed on its way. */
type Work = {
  /** what must be in the record whatever happens, by key */
  readonly keys: ReadonlySet<string>;
  /** readies the record for a try, and begins */
  begin(): Child;
  /** waits until it has ended by itself */
  ended(child: Child): Promise<void>;
  /** once the daemon is back */
  after(): Promise<void>;
};

type Replaced = { readonly path: BrokerPath; readonly prepare: (stage: Stage) => Promise<Work> };

/** Kills the work at moments between its beginning and its end, as long as it takes on this machine. */
async function killedAt({ path, prepare }: Replaced, how: { tries: number; seed: number }): Promise<Outcome> {
  const stage = await openStage(path);
  const { daemon } = stage;
  const chance = seededNumbers(how.seed);
  const notes: Notes = { wokenMs: [], backMs: [] };
  let [lost, doubled] = [0, 0];
  try {
    const work = await prepare(stage);
    await daemon.stop();
    const wholeMs = await lasting(work);
    for (let kill = 0; kill < how.tries; kill += 1) {
      const child = work.begin();
      const held = await publishedMeanwhile(stage, kill);
      await sleep(wholeMs * chance());
      const sinceMs = performance.now();
      await child.end('SIGKILL');
      await daemon.start();
      notes.backMs.push(performance.now() - sinceMs);
      await work.after();
      notes.wokenMs.push(await wokenAfter(stage, { bench: `hot-${kill}`, sinceMs }));
      const account = await accountFor(daemon.dataDir, new Set([...work.keys, ...held]));
      lost += account.lost;
      doubled += account.doubled;
      await daemon.stop();
    }
    return { tries: how.tries, lost, doubled: doubled + doubledCalls(stage.webhook), ...notes };
  } finally {
    await stage.close();
  }
}

async function lasting({ begin, ended }: Work): Promise<number> {
  const sinceMs = performance.now();
  const child = begin();
  await ended(child);
  const wholeMs = performance.now() - sinceMs;
  await child.end('SIGKILL');
  return wholeMs;
}

/** What an outside broker acknowledges while nobody takes it. @returns the reading's key */
async function publishedMeanwhile({ mosquitto, broker }: Stage, kill: number): Promise<string[]> {
  if (mosquitto === null) return [];
  const reading = { device: 'meanwhile', probe: 'air/temperature', tMs: Date.now(), value: kill };
  const publisher = await connectPublisher(broker);
  const payload = packOf([{ probe: reading.probe, unit: 'Cel', value: kill, atMs: reading.tMs }]);
  await publisher.publish({ topic: readingsTopic(reading.device), payload });
  await publisher.close();
  return [keyOf(reading)];
}

/** A backup is put in the place of the record. */
async function restoring(stage: Stage, seed: number): Promise<Work> {
  const { daemon, broker } = stage;
  const storm = startStorm({ broker, clients: 2, underWay: 5, restMs: 0, seed });
  const blown = () => (storm.acknowledged() > BEFORE_READINGS ? true : null);
  await until(blown, { what: 'storm', withinMs: WITHIN_MS });
  await storm.end();
  await accountFor(daemon.dataDir, storm.acknowledgedKeys);
  await daemon.post('/api/v1/backups');
  const backup = await until(() => backupsOf(daemon)[0] ?? null, { what: 'backup', withinMs: WITHIN_MS });
  return {
    keys: storm.acknowledgedKeys,
    begin: () =>
      startChild({
        command: process.execPath,
        args: [LAUNCHER, 'restore', backup, '--overwrite'],
        env: plainEnvironment({ STRIKEWELL_DATA_DIR: daemon.dataDir }),
      }),
    ended: async ({ exit }) => void (await exit),
    after: () => Promise.resolve(),
  };
}

/** A record of the oldest version is brought to the newest at a start. */
async function migrating({ daemon, mail, mosquitto, webhook }: Stage): Promise<Work> {
  const settings = {
    ...mailSettings(mail.url),
    STRIKEWELL_DATA_DIR: daemon.dataDir,
    STRIKEWELL_HTTP_PORT: String(daemon.httpPort),
    STRIKEWELL_MQTT_PORT: String(daemon.mqttPort),
    ...(mosquitto === null ? {} : { STRIKEWELL_MQTT_URL: mosquitto.url }),
  };
  const keys = new Set<string>();
  return {
    keys,
    begin() {
      keys.clear();
      for (const key of putOldRecord(daemon.dataDir)) keys.add(key);
      return startChild({
        command: process.execPath,
        args: [LAUNCHER, 'serve'],
        env: plainEnvironment(settings),
      });
    },
    ended: ({ hasEnded, stderr }) =>
      untilReady({ httpUrl: daemon.httpUrl, hasEnded, said: stderr, withinMs: READY_WITHIN_MS }),
    // the old record knows nobody
    after: () => addPerson(daemon, [{ kind: 'webhook', url: webhook.url }]),
  };
}

const OLDEST_VERSION = 1;
const OLD_READINGS = 1_000;

/** Puts a record of the first version in the place of the daemon's. @returns its readings, by key */
function putOldRecord(dataDir: string): string[] {
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
  return readings.map(({ tMs, value }) => keyOf({ device: 'old', probe: 'air/temperature', tMs, value }));
}

type Replacing = {
  readonly words: string;
  readonly prepare: (stage: Stage, seed: number) => Promise<Work>;
  /** where it is tried in the short form */
  readonly shortAt: BrokerPath;
};

const scenesOf = ({ words, prepare, shortAt }: Replacing): Scene[] =>
  PATHS.map((path) => {
    const name = `killed while ${words}, ${AT[path]}`;
    return {
      names: [name],
      async play({ form, seed }) {
        if (form === 'short' && path !== shortAt) return [];
        const replaced = { path, prepare: (stage: Stage) => prepare(stage, seed) };
        return [{ name, outcome: await killedAt(replaced, { tries: KILLS[form], seed }) }];
      },
    };
  });

/** Deaths while the record itself is replaced, at both brokers; in the short form each at one of them. */
export const KILLS_OF_RECORD: readonly Scene[] = [
  ...scenesOf({ words: 'an old record is migrated', prepare: migrating, shortAt: 'outside' }),
  ...scenesOf({ words: 'restoring a backup', prepare: restoring, shortAt: 'embedded' }),
];
