import { readFileSync } from 'node:fs';
import { setTimeout as sleep } from 'node:timers/promises';
import { WebSocket } from 'ws';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher, type Publisher } from '../support/mqttPublisher.ts';
import { openRecord } from '../support/record.ts';
import { type Figure, quantile } from './figure.ts';
import type { Sizes } from './sizes.ts';

const PROBES_A_DEVICE = 20;
const SAMPLE_MS = 2_000;
const MIB = 1024 * 1024;

type Sample = { readonly atS: number; readonly residentMib: number };

/**
 * Minutes at a steady rate of readings while pages look on: what is lost, how memory grows, and how long a question to the
 * daemon waits for its turn.
 */
export async function soak(sizes: Sizes): Promise<Figure[]> {
  const { soakMinutes, soakReadingsPerS, soakPages } = sizes;
  const daemon = await startDaemon();
  const pages = await openPages(daemon, soakPages);
  const devices = Math.max(1, Math.round(soakReadingsPerS / PROBES_A_DEVICE));
  const endMs = performance.now() + soakMinutes * 60_000;
  const [samples, waitsMs]: [Sample[], number[]] = [[], []];
  try {
    const watching = watch(daemon, { endMs, samples, waitsMs });
    const sent = await Promise.all(
      Array.from({ length: devices }, (_, k) => publishUntil(daemon, { device: `soak-${k}`, endMs })),
    );
    await watching;
    const acknowledged = sent.reduce((sum, n) => sum + n, 0);
    const record = openRecord(daemon.dataDir);
    const stored = record.readings().length;
    record.close();
    const name = `${soakMinutes} min at ${soakReadingsPerS} readings/s with ${soakPages} pages`;
    return [
      { name: `${name}, acknowledged`, value: acknowledged, unit: 'readings' },
      {
        name: `${name}, stored`,
        value: stored,
        unit: 'readings',
        of: { name: 'acknowledged', value: acknowledged },
      },
      { name: `${name}, messages to a page`, value: pages.received() / soakPages, unit: 'messages' },
      { name: `${name}, memory at the end`, value: samples.at(-1)?.residentMib ?? Number.NaN, unit: 'MiB' },
      {
        name: `${name}, memory grows in the second half by`,
        value: Math.max(slopeMibPerHour(samples.slice(samples.length / 2)), 0.001),
        unit: 'MiB/h',
        note: 'least squares; what is not sealed yet is held in memory',
      },
      { name: `${name}, a question waits, median`, value: quantile(waitsMs, 0.5), unit: 'ms' },
      { name: `${name}, a question waits, 99 %`, value: quantile(waitsMs, 0.99), unit: 'ms' },
      { name: `${name}, a question waits, longest`, value: quantile(waitsMs, 1), unit: 'ms' },
    ];
  } finally {
    pages.close();
    await daemon.close();
  }
}

async function openPages({ httpUrl }: Daemon, count: number) {
  let received = 0;
  const sockets = await Promise.all(
    Array.from({ length: count }, async () => {
      const socket = new WebSocket(`${httpUrl.replace('http', 'ws')}/live`, { origin: httpUrl });
      await new Promise<void>((resolve, reject) => socket.once('open', resolve).once('error', reject));
      socket.on('message', () => {
        received += 1;
      });
      return socket;
    }),
  );
  return {
    received: () => received,
    close: () => {
      for (const socket of sockets) socket.terminate();
    },
  };
}

/** One pack a second of all probes of a device. @returns how many readings were acknowledged */
async function publishUntil(
  daemon: Daemon,
  { device, endMs }: { device: string; endMs: number },
): Promise<number> {
  const publisher: Publisher = await connectPublisher({ url: daemon.mqttUrl });
  let acknowledged = 0;
  await sleep(1_000 * Math.random());
  for (let second = 0; performance.now() < endMs; second += 1) {
    const dueMs = performance.now() + 1_000;
    const t = Date.now() / 1_000;
    const records = Array.from({ length: PROBES_A_DEVICE }, (_, k) => ({
      n: `air/temperature/${k + 1}`,
      u: 'Cel',
      v: 20 + ((second + k) % 40) / 10,
      t,
    }));
    await publisher.publish({ topic: readingsTopic(device), payload: JSON.stringify(records) });
    acknowledged += records.length;
    await sleep(Math.max(0, dueMs - performance.now()));
  }
  await publisher.close();
  return acknowledged;
}

type Watching = { readonly endMs: number; readonly samples: Sample[]; readonly waitsMs: number[] };

async function watch(daemon: Daemon, { endMs, samples, waitsMs }: Watching): Promise<void> {
  while (performance.now() < endMs) {
    const askedMs = performance.now();
    await fetch(`${daemon.httpUrl}/healthz`);
    waitsMs.push(performance.now() - askedMs);
    samples.push({ atS: askedMs / 1_000, residentMib: residentMib(daemon.pid()) });
    await sleep(Math.min(SAMPLE_MS, Math.max(0, endMs - performance.now())));
  }
}

function residentMib(pid: number): number {
  const kib = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1];
  return (Number(kib) * 1024) / MIB;
}

/** The slope of a straight line through the samples by least squares. */
function slopeMibPerHour(samples: readonly Sample[]): number {
  const n = samples.length;
  const meanS = samples.reduce((sum, { atS }) => sum + atS, 0) / n;
  const meanMib = samples.reduce((sum, { residentMib: mib }) => sum + mib, 0) / n;
  const above = samples.reduce((sum, { atS, residentMib: mib }) => sum + (atS - meanS) * (mib - meanMib), 0);
  const below = samples.reduce((sum, { atS }) => sum + (atS - meanS) ** 2, 0);
  return below === 0 ? 0 : (above / below) * 3_600;
}
