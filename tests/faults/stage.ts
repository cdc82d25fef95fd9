import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import Database from 'better-sqlite3';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { keyOf } from '../journey/storm.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { untilReceived } from '../support/herald.ts';
import { type Mosquitto, startMosquitto } from '../support/mosquitto.ts';
import { type BrokerAddress, connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { openRecord } from '../support/record.ts';
import { type MailServer, startMailServer } from '../support/smtp.ts';
import { until } from '../support/wait.ts';
import { startWebhook, type Webhook } from '../support/webhook.ts';
import type { FaultyServer } from './faulty-servers.ts';

export type BrokerPath = 'embedded' | 'outside';
export const PATHS: readonly BrokerPath[] = ['embedded', 'outside'];
export const AT: Readonly<Record<BrokerPath, string>> = { embedded: 'own broker', outside: 'Mosquitto' };

/** A daemon with Robin, who is called by mail and by webhook, and the broker that devices publish to. */
export type Stage = {
  readonly daemon: Daemon;
  readonly broker: BrokerAddress;
  readonly mosquitto: Mosquitto | null;
  readonly mail: MailServer;
  readonly webhook: Webhook;
  close(): Promise<void>;
};

export type StageOptions = {
  /** of the daemon, beside its ports */
  readonly settings?: Readonly<Record<string, string>>;
  /** ways to reach Robin beside mail and webhook */
  readonly further?: readonly object[];
  /** what stands before the mail server */
  readonly before?: (mail: MailServer) => Promise<FaultyServer>;
};

const HOT_C = 48;
/** As often as a node that is in a hurry reads, ms. */
const READ_EVERY_MS = 500;
/** A call is given up after this, ms: beyond the deadline of a mail and the wait before it is tried again. */
const CALL_WITHIN_MS = 100_000;
/** A machine that does other work beside may take its time to start a daemon. */
export const READY_WITHIN_MS = 60_000;
const DRAIN_WITHIN_MS = 75_000;

export async function openStage(path: BrokerPath, options: StageOptions = {}): Promise<Stage> {
  const [mail, webhook] = [await startMailServer(), await startWebhook()];
  const mosquitto = path === 'outside' ? await startMosquitto({ persistence: true }) : null;
  const faulty = await options.before?.(mail);
  const daemon = await startDaemon({
    settings: {
      ...mailSettings(`smtp://127.0.0.1:${faulty?.port ?? mail.port}`),
      ...(mosquitto ? { STRIKEWELL_MQTT_URL: mosquitto.url } : {}),
      ...options.settings,
    },
    readyWithinMs: READY_WITHIN_MS,
  });
  await addPerson(daemon, [{ kind: 'webhook', url: webhook.url }, ...(options.further ?? [])]);
  const stage = { daemon, broker: { url: mosquitto?.url ?? daemon.mqttUrl }, mosquitto, mail, webhook };
  await received(stage);
  return {
    ...stage,
    close: async () => {
      await daemon.close();
      await mosquitto?.close();
      faulty?.close();
      await Promise.all([mail.close(), webhook.close()]);
    },
  };
}

/** Settings of a daemon whose mails go to a server. */
export function mailSettings(url: string): Record<string, string> {
  return {
    STRIKEWELL_SMTP_URL: url,
    STRIKEWELL_MAIL_FROM: 'watch@bench.example',
    STRIKEWELL_TIME_ZONE: 'UTC',
  };
}

const idSchema = z.object({ id: z.number() });

/** Robin, who is called at once, by mail and in the further ways given. */
export async function addPerson(daemon: Pick<Daemon, 'post'>, further: readonly object[]): Promise<void> {
  const { body } = await daemon.post('/api/v1/people', { name: 'Robin', quiet: null });
  const { id } = idSchema.parse(body);
  for (const method of [{ kind: 'mail', address: 'robin@bench.example' }, ...further]) {
    const answer = await daemon.post(`/api/v1/people/${id}/ways`, method);
    if (answer.status !== 201) throw new Error(`no way was added: ${JSON.stringify(answer.body)}`);
  }
}

/** With an outside broker the daemon must have subscribed before anything counts as acknowledged. */
async function received({ daemon, broker, mosquitto }: Omit<Stage, 'close'>): Promise<void> {
  if (mosquitto === null) return;
  const record = openRecord(daemon.dataDir);
  await untilReceived({ broker, record, device: 'herald' });
  record.close();
}

export type Hot = {
  readonly bench: string;
  /** when the fault was brought about, by `performance.now()` */
  readonly sinceMs: number;
  /** readings without a time of their own, which are dated by the daemon's clock */
  readonly undated?: boolean;
};

/**
 * Air at 48 °C begins at a bench of its own, read every half second and sent until a mail about it has come.
 * @returns ms from the fault to the mail; null where none came
 */
export async function wokenAfter(
  { broker, mail }: Pick<Stage, 'broker' | 'mail'>,
  { bench, sinceMs, undated = false }: Hot,
): Promise<number | null> {
  const isCalled = () => mail.mails.some(({ text }) => text.includes(`${bench}:`));
  const ending = new AbortController();
  const node = hotNode(broker, { bench, undated, ending: ending.signal });
  try {
    const called = { what: `mail about ${bench}`, withinMs: CALL_WITHIN_MS, everyMs: 5 };
    await until(() => (isCalled() ? true : null), called);
    return performance.now() - sinceMs;
  } catch {
    return null;
  } finally {
    ending.abort();
    await node;
  }
}

type HotNode = { readonly bench: string; readonly undated: boolean; readonly ending: AbortSignal };

async function hotNode(broker: BrokerAddress, { bench, undated, ending }: HotNode): Promise<void> {
  const topic = readingsTopic(bench);
  while (!ending.aborted) {
    const payload = undated
      ? JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: HOT_C }])
      : packOf([{ probe: 'air/temperature', unit: 'Cel', value: HOT_C, atMs: Date.now() }]);
    const publisher = await connectPublisher(broker).catch(() => null);
    const sent = publisher?.publish({ topic, payload }).catch(() => undefined);
    // what the record refuses is not acknowledged at all
    await Promise.race([sent, sleep(READ_EVERY_MS)]);
    await publisher?.abandon().catch(() => undefined);
    await sleep(publisher === null ? READ_EVERY_MS / 10 : READ_EVERY_MS).catch(() => undefined);
  }
}

const noticeSchema = z.object({
  type: z.string(),
  data: z.object({ alarm: z.object({ id: z.string(), raisedAtMs: z.number().nullable() }).nullable() }),
});

/** Messages about one raising that came under more than one id. */
export function doubledCalls({ requests }: Pick<Webhook, 'requests'>): number {
  const ids = new Map<string, Set<string>>();
  for (const { body, headers } of requests) {
    const { type, data } = noticeSchema.parse(JSON.parse(body));
    if (type !== 'alarm.raised' || data.alarm === null) continue;
    const raising = `${data.alarm.id} ${data.alarm.raisedAtMs}`;
    ids.set(raising, (ids.get(raising) ?? new Set()).add(String(headers['webhook-id'])));
  }
  return [...ids.values()].reduce((sum, { size }) => sum + size - 1, 0);
}

/** Readings acknowledged that are not in a record once it has caught up, and those that stand in it twice. */
export async function accountFor(
  dataDir: string,
  acknowledged: ReadonlySet<string>,
  withinMs = DRAIN_WITHIN_MS,
): Promise<{ lost: number; doubled: number }> {
  const record = openRecord(dataDir);
  const missing = () => {
    const stored = new Set(record.readings().map(keyOf));
    return [...acknowledged].filter((key) => !stored.has(key)).length;
  };
  try {
    const drained = { what: 'all readings', withinMs, everyMs: 500 };
    await until(() => (missing() === 0 ? true : null), drained).catch(() => null);
    const integrity = record.integrity();
    if (integrity !== 'ok') throw new Error(`the record is not sound: ${integrity}`);
    return { lost: missing(), doubled: record.twice() };
  } finally {
    record.close();
  }
}

const houseSchema = z.object({ readings: z.object({ refused: z.number(), conflicts: z.number() }) });

/** What is sent here is right: a reading that was refused, or came with another value, was spoilt on the way. */
export async function spoilt({ daemon }: Pick<Stage, 'daemon'>): Promise<number> {
  const { readings } = await daemon.read('/api/v1/house', houseSchema);
  return readings.refused + readings.conflicts;
}

/** What grows when a table is written: the hours settled of a day share one row. */
const GROWTH: Readonly<Record<string, string>> = { settled: 'coalesce(sum(length(parts)), 0)' };

/** Waits until something was written to a table since now, then some ms more. */
export async function untilWritten({ daemon }: Pick<Stage, 'daemon'>, table: string, moreMs: number) {
  const db = new Database(join(daemon.dataDir, 'strikewell.db'), { readonly: true });
  try {
    const count = db.prepare<[], number>(`SELECT ${GROWTH[table] ?? 'count(*)'} FROM ${table}`).pluck();
    const before = count.get() ?? 0;
    const grown = () => ((count.get() ?? 0) > before ? true : null);
    await until(grown, { what: `rows in ${table}`, withinMs: 40_000, everyMs: 1 });
  } finally {
    db.close();
  }
  await sleep(moreMs);
}

/** Files of finished backups. */
export function backupsOf({ dataDir }: Pick<Daemon, 'dataDir'>): string[] {
  const folder = join(dataDir, 'backups');
  const names = existsSync(folder) ? readdirSync(folder) : [];
  return names.filter((name) => name.endsWith('.db')).map((name) => join(folder, name));
}
