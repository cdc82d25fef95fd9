import { setTimeout as sleep } from 'node:timers/promises';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher, type Publisher } from '../support/mqttPublisher.ts';
import { seededNumbers } from '../support/seeded.ts';
import { until } from '../support/wait.ts';
import { startWebhook, type Webhook } from '../support/webhook.ts';
import { type Figure, quantile } from './figure.ts';
import type { Sizes } from './sizes.ts';

const LOAD_DEVICES = 25;
const PACK_READINGS = 20;
/** A bench that raises more often repeats, and is announced once for all of it. */
const CALLS_A_BENCH = 2;
const CLEAR_C = 21;
const HOUSE_CEILING_C = 26.7;
/** How long a bench rests between two alarms at most, for each bench there is, ms: so some four alarms a second. */
const REST_A_BENCH_MS = 250;
const DELAY_MS = 2_000;

/** The two kinds of rule. Delay by hand: 1.7 K over the ceiling use up 2^(1.7/5) ms a ms. */
const KINDS = [
  {
    name: 'without delay',
    rule: 'air-far-over-ceiling',
    overC: HOUSE_CEILING_C + 9,
    delayMs: 0,
    settings: { alarms: { 'air-over-ceiling': { on: false }, 'air-far-over-ceiling': { offDelayMs: 0 } } },
  },
  {
    name: 'with a delay of 1.58 s',
    rule: 'air-over-ceiling',
    overC: HOUSE_CEILING_C + 1.7,
    delayMs: DELAY_MS / 2 ** (1.7 / 5),
    settings: { ceilingAlarm: { onDelayMs: DELAY_MS, offDelayMs: 0, deadbandK: 0.5 } },
  },
] as const;
type Kind = (typeof KINDS)[number];

const noticeSchema = z.object({
  type: z.string(),
  data: z.object({ alarm: z.looseObject({ id: z.string() }) }),
});
const idSchema = z.object({ id: z.number() });

/**
 * Milliseconds from the publishing of a reading over its limit to the arrival at the webhook of a person, beyond the
 * delay of the rule, while other devices send steadily. Each bench reports its air once and stops then, so that a
 * delay runs out between readings.
 */
export async function callLatency(sizes: Sizes): Promise<Figure[]> {
  const [webhook, daemon] = [await startWebhook(), await startDaemon()];
  const publisher = await connectPublisher({ url: daemon.mqttUrl });
  await addPerson(daemon, webhook.url);
  const benches = await makeBenches(daemon, publisher, Math.ceil(sizes.calls / CALLS_A_BENCH));
  const loading = new AbortController();
  const load = keepLoading(daemon.mqttUrl, sizes.callReadingsPerS, loading.signal);
  await sleep(500);
  const arrivals = watchArrivals(webhook);
  const restMs = REST_A_BENCH_MS * benches.length;
  const next = seededNumbers(sizes.seed);
  const beyond = await Promise.all(
    benches.map(({ device, kind }) => alarmsOf({ device, kind, restMs, next }, publisher, arrivals)),
  );
  loading.abort();
  const readingsPerS = await load;
  await publisher.close();
  await daemon.close();
  await webhook.close();
  return KINDS.flatMap((kind) => {
    const sample = beyond.flatMap((all, k) => (benches[k]?.kind === kind ? all : []));
    const name = `publish to call, ${kind.name}, at ${Math.round(readingsPerS)} readings/s, ${sample.length} alarms`;
    return [
      { name: `${name}, p50`, value: quantile(sample, 0.5), unit: 'ms' },
      { name: `${name}, p99`, value: quantile(sample, 0.99), unit: 'ms' },
      { name: `${name}, max`, value: quantile(sample, 1), unit: 'ms' },
    ];
  });
}

async function addPerson(daemon: Daemon, url: string): Promise<void> {
  const { id } = idSchema.parse((await daemon.post('/api/v1/people', { name: 'Robin', quiet: null })).body);
  await daemon.post(`/api/v1/people/${id}/ways`, { kind: 'webhook', url });
}

type Bench = { readonly device: string; readonly kind: Kind };

async function makeBenches(daemon: Daemon, publisher: Publisher, count: number): Promise<Bench[]> {
  const benches = Array.from({ length: count }, (_, k): Bench => {
    return { device: `bench-${k}`, kind: KINDS[k % KINDS.length] ?? KINDS[0] };
  });
  for (const { device, kind } of benches) {
    await report(publisher, device, CLEAR_C);
    const { status } = await daemon.patch(`/api/v1/places/${device}`, { settings: kind.settings });
    if (status !== 200) throw new Error(`the place ${device} answered ${status}`);
  }
  return benches;
}

function report(publisher: Publisher, device: string, valueC: number): Promise<void> {
  const payload = JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: valueC }]);
  return publisher.publish({ topic: readingsTopic(device), payload });
}

/** When each alarm was last sent as raised at the webhook, by the monotonic clock, ms. */
function watchArrivals({ moments, requests }: Webhook): Map<string, number> {
  const arrivals = new Map<string, number>();
  moments.onDelivery = () => {
    const { type, data } = noticeSchema.parse(JSON.parse(requests.at(-1)?.body ?? ''));
    if (type === 'alarm.raised') arrivals.set(data.alarm.id, performance.now());
  };
  return arrivals;
}

type Alarms = Bench & { readonly restMs: number; readonly next: () => number };

/** Raises the alarm of a bench twice, at random moments; returns what each call took beyond the delay, ms. */
async function alarmsOf(
  { device, kind, restMs, next }: Alarms,
  publisher: Publisher,
  arrivals: ReadonlyMap<string, number>,
): Promise<number[]> {
  const beyond: number[] = [];
  const id = `${device}.${kind.rule}`;
  for (let k = 0; k < CALLS_A_BENCH; k += 1) {
    await sleep(restMs * next());
    const startMs = performance.now();
    await report(publisher, device, kind.overC);
    const arrival = () => {
      const atMs = arrivals.get(id) ?? 0;
      return atMs > startMs ? atMs : null;
    };
    const arrivedMs = await until(arrival, { what: `call about ${id}`, withinMs: 30_000, everyMs: 5 });
    beyond.push(arrivedMs - startMs - kind.delayMs);
    await report(publisher, device, CLEAR_C);
  }
  return beyond;
}

/** What the load reports, 5 positions of 4 probes each; nothing of it is past a limit. */
const LOAD = [
  ...['air/temperature', 'root/temperature', 'leaf/temperature'].map((n) => ({ n, u: 'Cel', v: 22 })),
  { n: 'air/humidity', u: '%RH', v: 90 },
  { n: 'light/ppfd', u: 'umol/m2/s', v: 100 },
];

/** Publishes packs at a steady rate from as many devices; returns the readings a second that were acknowledged. */
async function keepLoading(url: string, readingsPerS: number, ending: AbortSignal): Promise<number> {
  const publisher = await connectPublisher({ url });
  const next = seededNumbers(1);
  const startMs = performance.now();
  let sent = 0;
  while (!ending.aborted) {
    const due = (((performance.now() - startMs) / 1000) * readingsPerS) / PACK_READINGS;
    const packs: Promise<void>[] = [];
    for (; sent < due; sent += 1) {
      const records = Array.from({ length: PACK_READINGS }, (_, k) => {
        const { n, u, v } = LOAD[k % LOAD.length] ?? { n: '', u: '', v: 0 };
        return { n: `${n}/${1 + Math.floor(k / LOAD.length)}`, u, v: v + Math.round(10 * next()) / 10 };
      });
      const topic = readingsTopic(`load-${sent % LOAD_DEVICES}`);
      packs.push(publisher.publish({ topic, payload: JSON.stringify(records) }));
    }
    await Promise.all(packs);
    await sleep(5);
  }
  const perS = (sent * PACK_READINGS * 1000) / (performance.now() - startMs);
  await publisher.close();
  return perS;
}
