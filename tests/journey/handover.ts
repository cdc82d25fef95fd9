import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect, onTestFinished } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import type { Moments } from '../support/moments.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { startMailServer } from '../support/smtp.ts';
import { until } from '../support/wait.ts';
import { startWebhook } from '../support/webhook.ts';

/** The ceiling of the first target sheet is 26.7 °C, the deadband 0.5 K. */
export const [OVER_C, CLEAR_C] = [28.4, 22];
const idSchema = z.object({ id: z.number() });

export type Reading = { readonly bench: string; readonly valueC: number; readonly atMs: number };
/** What a receiver took: what it is about, and under which name. */
export type TakenReading = { readonly kind: string; readonly key: string };
export type House = Awaited<ReturnType<typeof openHouse>>;

/** Readings that are news, each: taken now, and later than the one before. */
function readingsNow(): (valueC: number, bench?: string) => Reading {
  let atMs = 0;
  return (valueC, bench = 'bench-1') => {
    atMs = Math.max(atMs + 1, Date.now());
    return { bench, valueC, atMs };
  };
}

/** A node that is connected; `send` says whether the reading was acknowledged before the daemon was gone. */
export async function connectNode({ mqttUrl }: Daemon) {
  const device = await connectPublisher({ url: mqttUrl });
  return async ({ bench, valueC, atMs }: Reading): Promise<boolean> => {
    const payload = packOf([{ probe: 'air/temperature', unit: 'Cel', value: valueC, atMs }]);
    const sent = device.publish({ topic: readingsTopic(bench), payload });
    const acknowledged = await sent.then(
      () => true,
      () => false,
    );
    await (acknowledged ? device.close() : null);
    return acknowledged;
  };
}

/** Sends a reading over a connection of its own. */
export async function send(daemon: Daemon, reading: Reading): Promise<boolean> {
  return (await connectNode(daemon))(reading);
}

/**
 * A daemon whose ceiling alarms wait for nothing, and Robin, who is reached by the ways given.
 *
 * @param kinds ways of Robin's
 * @param benches names of its places
 */
export async function openHouse(kinds: readonly ('mail' | 'webhook')[], benches = ['bench-1']) {
  const [mail, webhook] = [await startMailServer(), await startWebhook()];
  for (const one of [mail, webhook]) onTestFinished(() => one.close());
  const settings = {
    STRIKEWELL_SMTP_URL: mail.url,
    STRIKEWELL_MAIL_FROM: 'watch@bench.example',
    STRIKEWELL_TIME_ZONE: 'UTC',
  };
  const daemon = await startDaemon({ settings });
  onTestFinished(() => daemon.close());
  const reading = readingsNow();
  const held = { alarms: { 'air-over-ceiling': { onDelayMs: 0, offDelayMs: 0 } } };
  for (const bench of benches) {
    expect(await send(daemon, reading(CLEAR_C, bench))).toBe(true);
    expect((await daemon.patch(`/api/v1/places/${bench}`, { settings: held })).status).toBe(200);
  }
  const { id } = idSchema.parse((await daemon.post('/api/v1/people', { name: 'Robin', quiet: null })).body);
  const methods = {
    mail: { kind: 'mail', address: 'robin@bench.example' },
    webhook: { kind: 'webhook', url: webhook.url },
  };
  for (const kind of kinds)
    expect((await daemon.post(`/api/v1/people/${id}/ways`, methods[kind])).status).toBe(201);
  const taken = {
    mail: () =>
      mail.mails.map(({ headers, text }): TakenReading => {
        const key = /^<([^@]+)@/.exec(headers['message-id'] ?? '')?.[1] ?? '';
        return { kind: text.includes('back below its ceiling') ? 'alarm.returned' : 'alarm.raised', key };
      }),
    webhook: () =>
      webhook.requests.map(({ headers, body }): TakenReading => {
        return { kind: JSON.parse(body).type, key: String(headers['webhook-id']) };
      }),
  };
  const moments: Record<'mail' | 'webhook', Moments> = { mail: mail.moments, webhook: webhook.moments };
  return { daemon, reading, moments, delivered: taken };
}

/** The record beside the daemon: what is seen here is committed. */
export function openBeside({ dataDir }: Pick<Daemon, 'dataDir'>) {
  const db = new Database(join(dataDir, 'strikewell.db'));
  const events = db.prepare<[], { transition: string }>(
    "SELECT transition FROM alarm_event WHERE alarm_id LIKE '%.air-over-ceiling' ORDER BY id",
  );
  const messages = db.prepare<[], { key: string; kind: string; state: string; wayId: number }>(
    `SELECT message_key AS key, kind, state, way_id AS wayId FROM outbox
     WHERE alarm_id LIKE '%.air-over-ceiling' ORDER BY id`,
  );
  return {
    transitions: () => events.all().map(({ transition }) => transition),
    messages: () => messages.all(),
    /** from now on the daemon waits before its next commit, for 5 s at most */
    hold: () => void db.exec('BEGIN IMMEDIATE'),
    close: () => void db.close(),
  };
}

/** Waits until the daemon does nothing any more but wait for the record. */
export async function untilHeldUp({ httpUrl }: Daemon): Promise<void> {
  const silent = async () => {
    const answer = fetch(`${httpUrl}/healthz`, { signal: AbortSignal.timeout(250) });
    return answer.then(
      () => null,
      () => true,
    );
  };
  await until(silent, { what: 'daemon that waits for the record', withinMs: 4_000, everyMs: 1 });
}
