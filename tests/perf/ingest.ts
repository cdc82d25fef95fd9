import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { startChild } from '../support/child.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { removeFolder, temporaryFolder } from '../support/folders.ts';
import { untilHeard } from '../support/herald.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { freePort, isListening } from '../support/ports.ts';
import { openRecord } from '../support/record.ts';
import { seededNumbers } from '../support/seeded.ts';
import { until } from '../support/wait.ts';
import type { Figure } from './figure.ts';
import { fire, type Volley, volleyOf } from './raw-publisher.ts';
import type { Sizes } from './sizes.ts';

const houseSchema = z.object({ readings: z.object({ received: z.number() }) });
const bareBroker = fileURLToPath(new URL('bare-broker.ts', import.meta.url));
const WARM_UP_PART = 0.2;
/** Readings are a second apart and end before now. */
const FIRST_S = Math.floor(Date.now() / 1000) - 20 * 86_400;

type Load = { readonly messages: number; readonly records: number; readonly name: string };

/** Volleys of as many clients, each of a device of its own, with readings no other volley holds. */
function volleysOf({ messages, records, name }: Load, sizes: Sizes): Volley[] {
  const next = seededNumbers(sizes.seed);
  const each = Math.ceil(messages / sizes.clients);
  return Array.from({ length: sizes.clients }, (_, client) => {
    const device = `${name}-${client}`;
    const payloads = Array.from({ length: each }, (_, k) => packOf(FIRST_S + k * records, records, next));
    return volleyOf(readingsTopic(device), payloads);
  });
}

function packOf(firstS: number, records: number, next: () => number): string {
  const value = () => Math.round(2000 + 500 * next()) / 100;
  const first = { bt: firstS, bu: 'Cel', n: 'air/temperature', v: value() };
  const others = Array.from({ length: records - 1 }, (_, k) => ({
    n: 'air/temperature',
    v: value(),
    t: k + 1,
  }));
  return JSON.stringify([first, ...others]);
}

/** Messages per second a port acknowledges, once warm. */
async function ackRate(port: number, load: Load, sizes: Sizes): Promise<number> {
  const warmUp = { ...load, messages: load.messages * WARM_UP_PART, name: `${load.name}-warm` };
  await fire(port, volleysOf(warmUp, sizes), sizes.underWay);
  const volleys = volleysOf(load, sizes);
  const seconds = await fire(port, volleys, sizes.underWay);
  return volleys.reduce((sum, { ends }) => sum + ends.length, 0) / seconds;
}

/**
 * Messages per second over the embedded broker, acknowledged after they are committed, beside the same library
 * that only counts in a process of its own.
 */
export async function embeddedIngest(sizes: Sizes): Promise<Figure[]> {
  const loads = [
    { messages: sizes.singles, records: 1, name: 'single' },
    { messages: sizes.packs, records: sizes.recordsAPack, name: 'pack' },
  ];
  const port = await freePort();
  const bare = startChild({
    command: process.execPath,
    args: [bareBroker, String(port)],
    env: plainEnvironment(),
  });
  await until(async () => ((await isListening(port)) ? true : null), {
    what: 'bare broker',
    withinMs: 10_000,
  });
  const daemon = await startDaemon();
  const figures: Figure[] = [];
  for (const load of loads) {
    const ceiling = await ackRate(port, load, sizes);
    const value = await ackRate(daemon.mqttPort, load, sizes);
    const name = `embedded broker, ${load.records === 1 ? 'single readings' : `packs of ${load.records}`}`;
    figures.push({ name, value, unit: 'messages/s', of: { name: 'the bare broker', value: ceiling } });
  }
  await bare.end('SIGTERM');
  await daemon.close();
  return figures;
}

/** Messages per second from an outside broker, committed one by one, beside the rate of commits on the same disk. */
export async function outsideIngest(sizes: Sizes): Promise<Figure[]> {
  const mosquitto = await startMosquitto();
  const daemon = await startDaemon({ settings: { STRIKEWELL_MQTT_URL: mosquitto.url } });
  const record = openRecord(daemon.dataDir);
  await untilHeard({ broker: mosquitto, record, device: 'herald' });
  record.close();
  const ceiling = { name: 'single-row FULL commits', value: commitRate(sizes.commits) };
  const rates: number[] = [];
  const loads = [
    { messages: sizes.outsideMessages * WARM_UP_PART, records: 1, name: 'warm' },
    { messages: sizes.outsideMessages, records: 1, name: 'single' },
    { messages: sizes.outsideMessages / 4, records: sizes.recordsAPack, name: 'pack' },
  ];
  for (const load of loads) rates.push(await storeRate(daemon, mosquitto.port, load, sizes));
  await daemon.close();
  await mosquitto.close();
  const [, singles = 0, packs = 0] = rates;
  const unit = 'messages/s';
  return [
    { name: 'outside broker, single readings', value: singles, unit, of: ceiling },
    { name: `outside broker, packs of ${sizes.recordsAPack}`, value: packs, unit, of: ceiling },
  ];
}

async function received(daemon: Daemon): Promise<number> {
  return (await daemon.read('/api/v1/house', houseSchema)).readings.received;
}

async function storeRate(daemon: Daemon, port: number, load: Load, sizes: Sizes): Promise<number> {
  const volleys = volleysOf(load, sizes);
  const messages = volleys.reduce((sum, { ends }) => sum + ends.length, 0);
  const wanted = (await received(daemon)) + messages * load.records;
  const startMs = performance.now();
  await fire(port, volleys, sizes.underWay);
  const all = async () => ((await received(daemon)) >= wanted ? true : null);
  await until(all, { what: `${messages} messages stored`, withinMs: 120_000, everyMs: 20 });
  return (messages * 1000) / (performance.now() - startMs);
}

/** How often a row can be committed durably, one a commit: what a commit a message can never exceed. */
function commitRate(commits: number): number {
  const folder = temporaryFolder('commits');
  const db = new Database(join(folder, 'commits.db'));
  db.pragma('journal_mode = WAL');
  db.pragma('synchronous = FULL');
  db.exec(
    'CREATE TABLE reading (t_ms INTEGER, probe_id INTEGER, value REAL, PRIMARY KEY (t_ms, probe_id)) WITHOUT ROWID',
  );
  const insert = db.prepare('INSERT INTO reading VALUES (?, 1, 20.5)');
  const startMs = performance.now();
  for (let k = 0; k < commits; k += 1) insert.run(k);
  const rate = (commits * 1000) / (performance.now() - startMs);
  db.close();
  removeFolder(folder);
  return rate;
}
