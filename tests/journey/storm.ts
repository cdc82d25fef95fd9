import { setTimeout as sleep } from 'node:timers/promises';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { type BrokerAddress, connectPublisher, type Publisher } from '../support/mqttPublisher.ts';
import { seededNumbers } from '../support/seeded.ts';

export type Storm = {
  /** how many readings are acknowledged so far */
  acknowledged(): number;
  /** lets every client come to an end; whatever is not acknowledged by then is given up */
  end(): Promise<void>;
  /** device, probe, time and value of all acknowledged readings, each as `keyOf` gives it */
  readonly acknowledgedKeys: ReadonlySet<string>;
};

export type StormOptions = {
  readonly broker: BrokerAddress;
  readonly clients: number;
  /** packs a client has under way at once */
  readonly underWay: number;
  /** rest of a client after that many, ms */
  readonly restMs: number;
  readonly seed: number;
};

type Pack = { readonly payload: string; readonly keys: readonly string[] };
type Reading = {
  readonly device: string;
  readonly probe: string;
  readonly tMs: number;
  readonly value: number;
};

const MOST_READINGS = 20;
const PROBES = ['air/temperature', 'root/temperature', 'leaf/temperature'] as const;
/** Some weeks ago: times are absolute, so that a pack sent again is the same again. */
const FIRST_MS = Math.floor(Date.now() / 1000) * 1000 - 30 * 86_400_000;
/** Between two readings of a device: at this pace an hour of its record is full after some 70 packs. */
const APART_MS = 5_000;

/** A reading as text: two are the same reading exactly when these are equal. */
export function keyOf({ device, probe, tMs, value }: Reading): string {
  return `${device} ${probe} ${tMs} ${value}`;
}

/**
 * Clients that publish packs of 1 to 20 readings as fast as they are let, reconnect when cut off, and send
 * again what was not acknowledged.
 *
 * @param options where, how many, how fast, and the seed that decides every pack
 * @returns the storm, already blowing
 */
export function startStorm(options: StormOptions): Storm {
  const acknowledgedKeys = new Set<string>();
  const ending = new AbortController();
  const clients = Array.from({ length: options.clients }, (_, index) =>
    blow(
      { ...options, device: `storm-${index}`, seed: options.seed + index },
      acknowledgedKeys,
      ending.signal,
    ),
  );
  return {
    acknowledged: () => acknowledgedKeys.size,
    acknowledgedKeys,
    end: async () => {
      ending.abort();
      await Promise.all(clients);
    },
  };
}

type Client = Omit<StormOptions, 'clients'> & { readonly device: string };

async function blow(client: Client, acknowledged: Set<string>, ending: AbortSignal): Promise<void> {
  const nextPack = packSource(client);
  let waiting: Pack[] = [];
  while (!ending.aborted) {
    const publisher = await connectPublisher(client.broker).catch(() => null);
    if (publisher === null) {
      await sleep(20);
      continue;
    }
    let connected = true;
    while (connected && !ending.aborted) {
      while (waiting.length < client.underWay) waiting.push(nextPack());
      waiting = await sendAll(
        publisher,
        { topic: readingsTopic(client.device), packs: waiting },
        acknowledged,
      );
      connected = waiting.length === 0;
      await sleep(client.restMs);
    }
    await (connected ? publisher.close() : null);
  }
}

/** Sends packs at once; returns those that were not acknowledged. */
async function sendAll(
  publisher: Publisher,
  { topic, packs }: { topic: string; packs: readonly Pack[] },
  acknowledged: Set<string>,
): Promise<Pack[]> {
  const results = await Promise.allSettled(
    packs.map(async ({ payload, keys }) => {
      await publisher.publish({ topic, payload });
      for (const key of keys) acknowledged.add(key);
    }),
  );
  return packs.filter((_, index) => results[index]?.status === 'rejected');
}

function packSource({ device, seed }: Client): () => Pack {
  const next = seededNumbers(seed);
  let count = 0;
  return () => {
    const readings = Array.from({ length: 1 + Math.floor(next() * MOST_READINGS) }, (): Reading => {
      const probe = PROBES[Math.floor(next() * PROBES.length)] ?? PROBES[0];
      return { device, probe, tMs: FIRST_MS + APART_MS * count++, value: Math.floor(next() * 4000) / 100 };
    });
    const records = readings.map(({ probe, tMs, value }) => ({
      n: probe,
      u: 'Cel',
      v: value,
      t: tMs / 1000,
    }));
    return { payload: JSON.stringify(records), keys: readings.map(keyOf) };
  };
}
