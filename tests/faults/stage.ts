import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { type Mosquitto, startMosquitto } from '../support/mosquitto.ts';
import { type BrokerAddress, connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { openRecord } from '../support/record.ts';
import { until } from '../support/wait.ts';
import { startWebhook, type Webhook } from '../support/webhook.ts';

export type BrokerPath = 'embedded' | 'outside';

/** A daemon with one person who is called by webhook, and the broker that devices speak to. */
export type Stage = {
  readonly daemon: Daemon;
  readonly broker: BrokerAddress;
  readonly mosquitto: Mosquitto | null;
  readonly webhook: Webhook;
  close(): Promise<void>;
};

const HOT_C = 48;
/** A call is given up after this, ms: far beyond any delay of the alarm. */
const CALL_WITHIN_MS = 60_000;

/** Sets the stage. @param settings of the daemon, beside its ports */
export async function openStage(
  path: BrokerPath,
  settings: Readonly<Record<string, string>> = {},
): Promise<Stage> {
  const webhook = await startWebhook();
  const mosquitto = path === 'outside' ? await startMosquitto({ persistence: true }) : null;
  const daemon = await startDaemon({
    settings: mosquitto ? { STRIKEWELL_MQTT_URL: mosquitto.url, ...settings } : settings,
  });
  await addPerson(daemon, webhook.url);
  return {
    daemon,
    broker: { url: mosquitto?.url ?? daemon.mqttUrl },
    mosquitto,
    webhook,
    close: async () => {
      await daemon.close();
      await mosquitto?.close();
      await webhook.close();
    },
  };
}

/** Robin, who is called at once, by one webhook. */
export async function addPerson(daemon: Pick<Daemon, 'post'>, url: string): Promise<void> {
  const { body } = await daemon.post('/api/v1/people', { name: 'Robin', quiet: null });
  const id = typeof body === 'object' && body !== null && 'id' in body ? body.id : null;
  const way = await daemon.post(`/api/v1/people/${id}/ways`, { kind: 'webhook', url });
  if (way.status !== 201) throw new Error(`the webhook could not be added: ${JSON.stringify(way.body)}`);
}

/**
 * Air at 48 °C begins at a bench of its own, read every half second as a real node would, sent again until it is
 * acknowledged, or somebody is called.
 * @param sinceMs when the fault was brought about, by `performance.now()`
 * @returns ms from the fault to the call; null where nobody was called
 */
export async function wokenAfter(
  { broker, webhook }: Pick<Stage, 'broker' | 'webhook'>,
  { bench, sinceMs }: { readonly bench: string; readonly sinceMs: number },
): Promise<number | null> {
  const calls = () =>
    webhook.requests.some(({ body }) => body.includes(`"${bench}"`) && body.includes('alarm.raised'));
  const ending = new AbortController();
  const node = hotNode(broker, bench, ending.signal);
  try {
    await until(() => (calls() ? true : null), {
      what: `call about ${bench}`,
      withinMs: CALL_WITHIN_MS,
      everyMs: 5,
    });
    return performance.now() - sinceMs;
  } catch {
    return null;
  } finally {
    ending.abort();
    await node;
  }
}

async function hotNode(broker: BrokerAddress, bench: string, ending: AbortSignal): Promise<void> {
  while (!ending.aborted) {
    const payload = packOf([{ probe: 'air/temperature', unit: 'Cel', value: HOT_C, atMs: Date.now() }]);
    const publisher = await connectPublisher(broker).catch(() => null);
    await publisher?.publish({ topic: readingsTopic(bench), payload }).catch(() => undefined);
    await publisher?.close().catch(() => undefined);
    await new Promise((resolve) => setTimeout(resolve, 500));
  }
}

/** Messages that were received under more than one id for one raising of one alarm. */
export function doubledCalls({ requests }: Pick<Webhook, 'requests'>): number {
  const ids = new Map<string, Set<string>>();
  for (const { body, headers } of requests) {
    const message: unknown = JSON.parse(body);
    const raising = raisingOf(message);
    if (raising === null) continue;
    ids.set(raising, (ids.get(raising) ?? new Set()).add(String(headers['webhook-id'])));
  }
  return [...ids.values()].reduce((sum, { size }) => sum + size - 1, 0);
}

function raisingOf(message: unknown): string | null {
  if (typeof message !== 'object' || message === null) return null;
  const { type, data } = message as {
    type?: unknown;
    data?: { alarm?: { id?: string; raisedAtMs?: number } };
  };
  if (type !== 'alarm.raised') return null;
  return `${data?.alarm?.id} ${data?.alarm?.raisedAtMs}`;
}

/** Readings acknowledged that are not in the record once it has caught up, and those that stand in it twice. */
export async function accountFor(
  { daemon }: Pick<Stage, 'daemon'>,
  acknowledged: ReadonlySet<string>,
  keyOf: (reading: { device: string; probe: string; tMs: number; value: number }) => string,
): Promise<{ lost: number; doubled: number }> {
  const record = openRecord(daemon.dataDir);
  const missing = () => {
    const stored = new Set(record.readings().map(keyOf));
    return [...acknowledged].filter((key) => !stored.has(key)).length;
  };
  try {
    await until(() => (missing() === 0 ? true : null), {
      what: 'all readings',
      withinMs: 75_000,
      everyMs: 500,
    }).catch(() => null);
    return { lost: missing(), doubled: record.twice() };
  } finally {
    record.close();
  }
}
