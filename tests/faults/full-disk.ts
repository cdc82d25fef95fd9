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
import type { Form, Notes, Outcome, Scene } from './outcome.ts';
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
    ...{ disk, mail, webhook, untilWritable },
    broker: { url: mosquitto?.url ?? `mqtt://127.0.0.1:${mqttPort}` },
    close: async () => {
      await disk.child.end('SIGTERM');
      await Promise.all([mail.close(), webhook.close(), mosquitto?.close()]);
      removeFolder(folder);
    },
  };
}

/** The disk is filled in a small storm, air goes to 48 °C, and later there is room again. */
async function filled(path: BrokerPath, { tries, seed }: { tries: number; seed: number }): Promise<Outcome> {
  const stage = await openOnSmallDisk(path);
  const { disk, webhook, untilWritable } = stage;
  const notes: Notes = { wokenMs: [], backMs: [] };
  let storm: Storm | null = null;
  try {
    storm = startStorm({ broker: stage.broker, clients: 1, underWay: 2, restMs: 400, seed });
    for (let nth = 0; nth < tries; nth += 1) {
      const before = storm.acknowledged();
      const more = () => ((storm?.acknowledged() ?? 0) > before ? true : null);
      await until(more, { what: 'storm', withinMs: WITHIN_MS });
      const sinceMs = performance.now();
      disk.fill();
      await untilWritable(false);
      notes.wokenMs.push(await wokenAfter(stage, { bench: `hot-${nth}`, sinceMs }));
      const freeMs = performance.now();
      disk.free();
      await untilWritable(true);
      notes.backMs.push(performance.now() - freeMs);
    }
    await storm.end();
    const { lost, doubled } = await accountForCopy(disk.dataDir, storm.acknowledgedKeys);
    return { tries, lost, doubled: doubled + doubledCalls(webhook), ...notes };
  } finally {
    if (notes.backMs.length < notes.wokenMs.length) disk.free();
    await stage.close();
  }
}

/** A disk of its own cannot be read beside its daemon but for copies of its files. */
async function accountForCopy(dataDir: string, acknowledged: ReadonlySet<string>) {
  const look = async () => {
    const copy = temporaryFolder('copy');
    for (const name of ['strikewell.db', 'strikewell.db-wal'])
      copyFileSync(join(dataDir, name), join(copy, name));
    return accountFor(copy, acknowledged, 0);
  };
  const all = async () => ((await look()).lost === 0 ? true : null);
  await until(all, { what: 'all readings', withinMs: WITHIN_MS, everyMs: 500 }).catch(() => null);
  return look();
}

/** A disk that is full for a while, at both brokers; in the short form at the embedded one. */
export const FULL_DISK: readonly Scene[] = PATHS.map((path) => {
  const name = `the disk is full for a while, ${AT[path]}`;
  return {
    names: [name],
    play: async ({ form, seed }) =>
      form === 'short' && path === 'outside'
        ? []
        : [{ name, outcome: await filled(path, { tries: TRIES[form], seed }) }],
  };
});
