import { once } from 'node:events';
import { setTimeout as sleep } from 'node:timers/promises';
import { WebSocket } from 'ws';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { startDaemon } from '../support/daemon.ts';
import { connectPublisher, type Publisher } from '../support/mqttPublisher.ts';
import { seededNumbers } from '../support/seeded.ts';
import { type Figure, quantile } from './figure.ts';
import type { Sizes } from './sizes.ts';

const DEVICE = 'timed';
const LOAD_DEVICES = 10;
const LOAD_EVERY_MS = 20;
const nowMessageSchema = z.object({
  type: z.literal('now'),
  now: z.object({
    placeId: z.literal(DEVICE),
    quantities: z.object({ airTemperatureC: z.object({ value: z.number() }) }),
  }),
});

/** Milliseconds from publishing to the message that reaches a page, with little else to do and under load. */
export async function publishToPage(sizes: Sizes): Promise<Figure[]> {
  const daemon = await startDaemon();
  const page = new WebSocket(`ws://127.0.0.1:${daemon.httpPort}/live`);
  await once(page, 'open');
  const publisher = await connectPublisher({ url: daemon.mqttUrl });
  const light = await latenciesMs(publisher, page, sizes);
  const loading = new AbortController();
  const load = keepLoading(daemon.mqttUrl, sizes.loadMessagesPerS, loading.signal);
  const loaded = await latenciesMs(publisher, page, sizes);
  loading.abort();
  const loadPerS = await load;
  await publisher.close();
  page.terminate();
  await daemon.close();
  const under = `at ${Math.round(loadPerS)} messages/s`;
  return [
    { name: 'publish to page, quiet, p50', value: quantile(light, 0.5), unit: 'ms' },
    { name: 'publish to page, quiet, p99', value: quantile(light, 0.99), unit: 'ms' },
    { name: `publish to page, ${under}, p50`, value: quantile(loaded, 0.5), unit: 'ms' },
    { name: `publish to page, ${under}, p99`, value: quantile(loaded, 0.99), unit: 'ms' },
  ];
}

async function latenciesMs(publisher: Publisher, page: WebSocket, sizes: Sizes): Promise<number[]> {
  const next = seededNumbers(sizes.seed);
  const latencies: number[] = [];
  for (let k = 0; k < sizes.latencyMessages; k += 1) {
    // Pages are sent values at a fixed pace: a message must not keep step with it.
    await sleep(sizes.latencyEveryMs * (0.5 + next()));
    const valueC = 15 + Math.round(1e9 * next()) / 1e8;
    const payload = JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: valueC }]);
    const arrival = untilSent(page, valueC);
    const startMs = performance.now();
    await publisher.publish({ topic: readingsTopic(DEVICE), payload });
    latencies.push((await arrival) - startMs);
  }
  return latencies;
}

function untilSent(page: WebSocket, valueC: number): Promise<number> {
  const { promise, resolve } = Promise.withResolvers<number>();
  const check = (data: WebSocket.RawData) => {
    const atMs = performance.now();
    const message = nowMessageSchema.safeParse(JSON.parse(String(data)));
    if (message.data?.now.quantities.airTemperatureC.value !== valueC) return;
    page.off('message', check);
    resolve(atMs);
  };
  page.on('message', check);
  return promise;
}

/** Publishes at a steady rate from as many other devices; returns the rate that was reached. */
async function keepLoading(url: string, messagesPerS: number, ending: AbortSignal): Promise<number> {
  const publisher = await connectPublisher({ url });
  const startMs = performance.now();
  let sent = 0;
  while (!ending.aborted) {
    const due = ((performance.now() - startMs) / 1000) * messagesPerS;
    const packs: Promise<void>[] = [];
    for (; sent < due; sent += 1) {
      const payload = JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: 20 + (sent % 50) / 10 }]);
      packs.push(publisher.publish({ topic: readingsTopic(`load-${sent % LOAD_DEVICES}`), payload }));
    }
    await Promise.all(packs);
    await sleep(LOAD_EVERY_MS);
  }
  await publisher.close();
  return (sent * 1000) / (performance.now() - startMs);
}
