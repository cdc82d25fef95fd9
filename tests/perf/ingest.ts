import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { startChild } from '../support/child.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { removeFolder, temporaryFolder } from '../support/folders.ts';
import { untilReceived } from '../support/herald.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { freePort, isListening } from '../support/ports.ts';
import { openRecord } from '../support/record.ts';
import { seededNumbers } from '../support/seeded.ts';
import { until } from '../support/wait.ts';
import { type Figure, quantile } from './figure.ts';
import { fire, type Volley, volleyOf } from './raw-publisher.ts';
import type { Sizes } from './sizes.ts';

const houseSchema = z.object({ readings: z.object({ received: z.number() }) });
const bareBroker = fileURLToPath(new URL('bare-broker.ts', import.meta.url));
/** Old readings are a second apart and end before now; alarms are not judged by them. */
const FIRST_S = Math.floor(Date.now() / 1000) - 20 * 86_400;
/** Readings that alarms are judged by are of the last minutes, ms apart. */
const JUDGED_FROM_S = 200;

type Load = {
  readonly messages: number;
  readonly records: number;
  readonly name: string;
  /** whether the readings are fresh, so that alarms are judged */
  readonly judged: boolean;
};

/** Volleys of as many clients, each of a device of its own, with readings no other volley holds. */
function volleysOf({ messages, records, name, judged }: Load, sizes: Sizes): Volley[] {
  const [firstS, stepS] = judged ? [Math.floor(Date.now() / 1000) - JUDGED_FROM_S, 0.001] : [FIRST_S, 1];
  const next = seededNumbers(sizes.seed);
  const each = Math.ceil(messages / sizes.clients);
  return Array.from({ length: sizes.clients }, (_, client) => {
    const device = `${name}-${client}`;
    const payloads = Array.from({ length: each }, (_, k) =>
      packOf({ firstS: firstS + k * records * stepS, stepS, records }, next),
    );
    return volleyOf(readingsTopic(device), payloads);
  });
}

type PackOf = { readonly firstS: number; readonly stepS: number; readonly records: number };

function packOf({ firstS, stepS, records }: PackOf, next: () => number): string {
  const value = () => Math.round(2000 + 500 * next()) / 100;
  const first = { bt: firstS, bu: 'Cel', n: 'air/temperature', v: value() };
  const others = Array.from({ length: records - 1 }, (_, k) => ({
    n: 'air/temperature',
    v: value(),
    t: (k + 1) * stepS,
  }));
  return JSON.stringify([first, ...others]);
}

/** Messages per second that a port acknowledges. */
async function ackRate(port: number, load: Load, sizes: Sizes): Promise<number> {
  const volleys = volleysOf(load, sizes);
  const seconds = await fire(port, volleys, sizes.underWay);
  return messagesOf(volleys) / seconds;
}

function messagesOf(volleys: readonly Volley[]): number {
  return volleys.reduce((sum, { ends }) => sum + ends.length, 0);
}

type Measured = { readonly value: number; readonly ceiling: number };
type Rates = {
  readonly value: (name: string) => Promise<number>;
  readonly ceiling: (name: string) => Promise<number> | number;
};

/** Measures a rate and its ceiling in turns, since other work on the machine comes and goes; gives the medians. */
async function inTurns(name: string, rates: Rates, rounds: number): Promise<Measured> {
  const values: number[] = [];
  const ceilings: number[] = [];
  for (let round = 0; round <= rounds; round += 1) {
    const [ceiling, value] = [await rates.ceiling(`${name}-${round}`), await rates.value(`${name}-${round}`)];
    // The first round warms up.
    if (round === 0) continue;
    ceilings.push(ceiling);
    values.push(value);
  }
  return { value: quantile(values, 0.5), ceiling: quantile(ceilings, 0.5) };
}

/**
 * Messages per second over the embedded broker, acknowledged after they are committed, beside the same library
 * that only counts in a process of its own.
 */
export async function embeddedIngest(sizes: Sizes): Promise<Figure[]> {
  const port = await freePort();
  const args = [bareBroker, String(port)];
  const bare = startChild({ command: process.execPath, args, env: plainEnvironment() });
  await until(async () => ((await isListening(port)) ? true : null), {
    what: 'bare broker',
    withinMs: 10_000,
  });
  const daemon = await startDaemon();
  const figures: Figure[] = [];
  const loads = loadsOf({ singles: sizes.singles, packs: sizes.packs }, sizes);
  const judged = loads.map((load) => ({
    ...load,
    name: `${load.name}-judged`,
    judged: true,
    words: `${load.words}, alarms judged`,
  }));
  for (const load of [...loads, ...judged]) {
    const rates = {
      ceiling: (name: string) => ackRate(port, { ...load, name }, sizes),
      value: (name: string) => ackRate(daemon.mqttPort, { ...load, name }, sizes),
    };
    const { value, ceiling } = await inTurns(load.name, rates, sizes.rounds);
    const of = { name: 'the bare broker', value: ceiling };
    figures.push({ name: `embedded broker, ${load.words}`, value, unit: 'messages/s', of });
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
  await untilReceived({ broker: mosquitto, record, device: 'herald' });
  record.close();
  const figures: Figure[] = [];
  for (const load of loadsOf({ singles: sizes.outsideMessages, packs: sizes.outsideMessages / 4 }, sizes)) {
    const rates = {
      ceiling: () => commitRate(sizes.commits),
      value: (name: string) => storeRate(daemon, mosquitto.port, { load: { ...load, name }, sizes }),
    };
    const { value, ceiling } = await inTurns(load.name, rates, sizes.rounds);
    const of = { name: 'single-row FULL commits', value: ceiling };
    figures.push({ name: `outside broker, ${load.words}`, value, unit: 'messages/s', of });
  }
  await daemon.close();
  await mosquitto.close();
  return figures;
}

function loadsOf(messages: { singles: number; packs: number }, { recordsAPack }: Sizes) {
  return [
    { name: 'single', words: 'single readings', messages: messages.singles, records: 1, judged: false },
    {
      name: 'pack',
      words: `packs of ${recordsAPack}`,
      messages: messages.packs,
      records: recordsAPack,
      judged: false,
    },
  ];
}

async function received(daemon: Daemon): Promise<number> {
  return (await daemon.read('/api/v1/house', houseSchema)).readings.received;
}

type Stored = { readonly load: Load; readonly sizes: Sizes };

/** Messages per second from the first one published to the last one committed. */
async function storeRate(daemon: Daemon, port: number, { load, sizes }: Stored): Promise<number> {
  const volleys = volleysOf(load, sizes);
  const messages = messagesOf(volleys);
  const wanted = (await received(daemon)) + messages * load.records;
  const startMs = performance.now();
  await fire(port, volleys, sizes.underWay);
  const all = async () => ((await received(daemon)) >= wanted ? true : null);
  await until(all, { what: `${messages} messages stored`, withinMs: 120_000, everyMs: 10 });
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
