import { copyFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { type Storm, startStorm } from '../journey/storm.ts';
import { untilReady } from '../support/daemon.ts';
import { removeFolder, temporaryFolder } from '../support/folders.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { freePort } from '../support/ports.ts';
import { SMALL_DISKS, startOnSmallDisk } from '../support/small-disk.ts';
import { startMailServer } from '../support/smtp.ts';
import { until } from '../support/wait.ts';
import { startWebhook } from '../support/webhook.ts';
import type { Form, Outcome, Scene } from './outcome.ts';
import {
  AT,
  accountFor,
  addPerson,
  type BrokerPath,
  doubledCalls,
  mailSettings,
  PATHS,
  READY_WITHIN_MS,
  wokenAfter,
} from './stage.ts';

const TRIES: Readonly<Record<Form, number>> = { short: 1, long: 5 };
const WITHIN_MS = 60_000;
const houseSchema = z.object({
  store: z.object({ writable: z.boolean() }),
  broker: z.object({ connected: z.boolean() }),
});

async function openOnSmallDisk(path: BrokerPath) {
  const [mail, webhook, folder] = [await startMailServer(), await startWebhook(), temporaryFolder('small')];
  const mosquitto = path === 'outside' ? await startMosquitto({ persistence: true }) : null;
  const [httpPort, mqttPort] = [await freePort(), await freePort()];
  const disk = startOnSmallDisk({
    kind: SMALL_DISKS[0] ?? 'a limit on the size of files',
    folder,
    settings: {
      ...mailSettings(mail.url),
      STRIKEWELL_HTTP_PORT: String(httpPort),
      STRIKEWELL_MQTT_PORT: String(mqttPort),
      ...(mosquitto ? { STRIKEWELL_MQTT_URL: mosquitto.url } : {}),
    },
  });
  const httpUrl = `http://127.0.0.1:${httpPort}`;
  await untilReady({
    httpUrl,
    hasEnded: disk.child.hasEnded,
    said: disk.child.stderr,
    withinMs: READY_WITHIN_MS,
  });
  const ask = async (address: string, init: RequestInit = {}) => {
    const answer = await fetch(httpUrl + address, {
      ...init,
      headers: { 'content-type': 'application/json' },
    });
    return { status: answer.status, body: (await answer.json()) as unknown };
  };
  const post = (address: string, body: unknown) =>
    ask(address, { method: 'POST', body: JSON.stringify(body) });
  await addPerson({ post }, [{ kind: 'webhook', url: webhook.url }]);
  const house = async () => houseSchema.parse((await ask('/api/v1/house')).body);
  const untilWritable = (wanted: boolean) =>
    until(async () => ((await house()).store.writable === wanted ? true : null), {
      what: `a record that is ${wanted ? '' : 'not '}written`,
      withinMs: WITHIN_MS,
    });
  await until(async () => (await house()).broker.connected || null, { what: 'broker', withinMs: WITHIN_MS });
  return {
    disk,
    mail,
    webhook,
    untilWritable,
    broker: { url: mosquitto?.url ?? `mqtt://127.0.0.1:${mqttPort}` },
    close: async () => {
      await disk.child.end('SIGTERM');
      await Promise.all([mail.close(), webhook.close(), mosquitto?.close()]);
      removeFolder(folder);
    },
  };
}

/** The disk is filled in a small storm, air goes to 48 °C, and later there is room again. */
async function filled(path: BrokerPath, seed: number): Promise<Outcome> {
  const stage = await openOnSmallDisk(path);
  const { disk, webhook, untilWritable } = stage;
  let [storm, isFull]: [Storm | null, boolean] = [null, false];
  try {
    storm = startStorm({ broker: stage.broker, clients: 1, underWay: 2, restMs: 400, seed });
    const blows = () => ((storm?.acknowledged() ?? 0) > 0 ? true : null);
    await until(blows, { what: 'storm', withinMs: WITHIN_MS });
    const sinceMs = performance.now();
    disk.fill();
    isFull = true;
    await untilWritable(false);
    const wokenMs = await wokenAfter(stage, { bench: 'hot', sinceMs });
    const freeMs = performance.now();
    disk.free();
    isFull = false;
    await untilWritable(true);
    const backMs = performance.now() - freeMs;
    await storm.end();
    const { lost, doubled } = await accountForCopy(disk.dataDir, storm.acknowledgedKeys);
    const allDoubled = doubled + doubledCalls(webhook);
    return { tries: 1, lost, doubled: allDoubled, wokenMs: [wokenMs], backMs: [backMs] };
  } finally {
    if (isFull) disk.free();
    await storm?.end();
    await stage.close();
  }
}

/** On a stage of its own each: a record that is full again soon is trusted later each time. */
async function filledEach(path: BrokerPath, { tries, seed }: { tries: number; seed: number }) {
  const each: Outcome[] = [];
  for (let nth = 0; nth < tries; nth += 1) each.push(await filled(path, seed + nth));
  const sum = (of: (outcome: Outcome) => number) => each.reduce((total, outcome) => total + of(outcome), 0);
  return {
    tries,
    lost: sum(({ lost }) => lost),
    doubled: sum(({ doubled }) => doubled),
    wokenMs: each.flatMap(({ wokenMs }) => wokenMs),
    backMs: each.flatMap(({ backMs }) => backMs),
  };
}

/** A disk of its own cannot be read beside its daemon but for copies of its files. */
async function accountForCopy(dataDir: string, acknowledged: ReadonlySet<string>) {
  const check = async () => {
    const copy = temporaryFolder('copy');
    for (const name of ['strikewell.db', 'strikewell.db-wal'])
      copyFileSync(join(dataDir, name), join(copy, name));
    return accountFor(copy, acknowledged, 0);
  };
  const all = async () => ((await check()).lost === 0 ? true : null);
  await until(all, { what: 'all readings', withinMs: WITHIN_MS, everyMs: 500 }).catch(() => null);
  return check();
}

/** A disk that is full for a while, at both brokers; in the short form at the embedded one. */
export const FULL_DISK: readonly Scene[] = PATHS.map((path) => {
  const name = `the disk is full for a while, ${AT[path]}`;
  return {
    names: [name],
    play: async ({ form, seed }) =>
      form === 'short' && path === 'outside'
        ? []
        : [{ name, outcome: await filledEach(path, { tries: TRIES[form], seed }) }],
  };
});
