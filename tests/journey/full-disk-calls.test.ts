import { randomBytes } from 'node:crypto';
import { copyFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { isAcknowledged } from '../support/acknowledged.ts';
import { startDaemon, untilReady } from '../support/daemon.ts';
import { removeFolder, temporaryFolder } from '../support/folders.ts';
import { type Mosquitto, startMosquitto } from '../support/mosquitto.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { freePort } from '../support/ports.ts';
import { openRecord } from '../support/record.ts';
import { type PreparedDisk, SMALL_DISKS, startOnSmallDisk } from '../support/small-disk.ts';
import { startMailServer } from '../support/smtp.ts';
import { until } from '../support/wait.ts';
import { startWebhook, type Webhook } from '../support/webhook.ts';

const [CALM_C, HOT_C] = [22, 48];
const HOT = 'bench-1.air-far-over-ceiling';
const RECORD = 'house.record-not-writable';
/** Generous: the machine may be busy. */
const WITHIN_MS = 60_000;

const houseSchema = z.object({ store: z.object({ writable: z.boolean() }) });
const joinedSchema = z.object({ broker: z.object({ connected: z.boolean() }) });
const idSchema = z.object({ id: z.number() });
const eventsSchema = z.object({ events: z.array(z.object({ transition: z.string() })) });
const placesSchema = z.object({ places: z.array(z.object({ id: z.string() })) });
const bodySchema = z.object({ type: z.string(), data: z.object({ alarm: z.object({ id: z.string() }) }) });

/** The kind that needs no rights is the last. */
const [OWN_DISK] = SMALL_DISKS;
/** Disks that are full or read-only at a start have to be mounted. */
const isMounted = SMALL_DISKS.length > 1;

/** What a receiver was sent, `alarm.raised bench-1.…`, in the order in which it was sent. */
function notified({ requests }: Webhook): string[] {
  return requests.map(({ body }) => {
    const { type, data } = bodySchema.parse(JSON.parse(body));
    return `${type} ${data.alarm.id}`;
  });
}

async function untilSent(webhook: Webhook, what: string): Promise<void> {
  await until(async () => (notified(webhook).includes(what) ? true : null), { what, withinMs: WITHIN_MS });
}

/** A daemon on a disk that can be filled, with its calls at a receiver. */
async function open(
  options: { readonly prepared?: PreparedDisk; readonly mqttUrl?: string; readonly version?: string } = {},
) {
  const [webhook, mail, folder] = [await startWebhook(), await startMailServer(), temporaryFolder('small')];
  const [httpPort, mqttPort] = [await freePort(), await freePort()];
  const settings = {
    STRIKEWELL_HTTP_PORT: String(httpPort),
    STRIKEWELL_MQTT_PORT: String(mqttPort),
    STRIKEWELL_WEBHOOK_URL: webhook.url,
    STRIKEWELL_SMTP_URL: mail.url,
    STRIKEWELL_MAIL_FROM: 'watch@bench.example',
    ...(options.mqttUrl === undefined ? {} : { STRIKEWELL_MQTT_URL: options.mqttUrl }),
    ...(options.version === undefined ? {} : { STRIKEWELL_MQTT_VERSION: options.version }),
  };
  const prepared = options.prepared === undefined ? {} : { prepared: options.prepared };
  const disk = startOnSmallDisk({
    kind: OWN_DISK ?? 'a limit on the size of files',
    folder,
    settings,
    ...prepared,
  });
  const httpUrl = `http://127.0.0.1:${httpPort}`;
  onTestFinished(async () => {
    await disk.child.end('SIGTERM');
    await Promise.all([webhook.close(), mail.close()]);
    removeFolder(folder);
  });
  await untilReady({ httpUrl, hasEnded: disk.child.hasEnded, said: disk.child.stderr });
  const broker = { url: options.mqttUrl ?? `mqtt://127.0.0.1:${mqttPort}` };
  const ask = async (path: string, init: RequestInit = {}): Promise<unknown> => {
    const headers = { 'content-type': 'application/json' };
    return (await fetch(`${httpUrl}/api/v1${path}`, { ...init, headers })).json();
  };
  const writable = async () => houseSchema.parse(await ask('/house')).store.writable;
  return { disk, httpUrl, broker, webhook, mail, ask, writable };
}
type Opened = Awaited<ReturnType<typeof open>>;
type Point = { readonly atMs: number; readonly value: number };

function packOfAir({ atMs, value }: Point): string {
  return packOf([{ probe: 'air/temperature', unit: 'Cel', value, atMs }]);
}

async function send({ broker, writable }: Opened, point: Point): Promise<boolean> {
  const device = await connectPublisher(broker);
  const published = device.publish({ topic: readingsTopic('bench-1'), payload: packOfAir(point) });
  const taken = await isAcknowledged(published, writable);
  await device.abandon();
  return taken;
}

async function untilWritable({ writable }: Opened, wanted: boolean): Promise<void> {
  const is = async () => ((await writable()) === wanted ? true : null);
  await until(is, { what: `a record that is ${wanted ? '' : 'not '}written`, withinMs: WITHIN_MS });
}

/** No delay, so that a single reading calls. */
async function withoutDelay({ ask }: Opened): Promise<void> {
  const settings = { alarms: { 'air-far-over-ceiling': { onDelayMs: 0, offDelayMs: 0 } } };
  await ask('/places/bench-1', { method: 'PATCH', body: JSON.stringify({ settings }) });
}

/** The times of what is stored, read from a copy of the file. */
function storedTimes({ disk }: Opened): number[] {
  const copy = temporaryFolder('copy');
  for (const name of ['strikewell.db', 'strikewell.db-wal'])
    copyFileSync(join(disk.dataDir, name), join(copy, name));
  const record = openRecord(copy);
  const times = record.readings('bench-1').map(({ tMs }) => tMs);
  expect(record.integrity()).toBe('ok');
  record.close();
  return times;
}

test('the disk fills while the air climbs to 48 °C: mail and webhook are called, and with space again all is stored once', async () => {
  const daemon = await open();
  const { disk, webhook, mail, ask } = daemon;
  const { id } = idSchema.parse(
    await ask('/people', { method: 'POST', body: JSON.stringify({ name: 'Robin', quiet: null }) }),
  );
  await ask(`/people/${id}/ways`, {
    method: 'POST',
    body: JSON.stringify({ kind: 'mail', address: 'robin@bench.example' }),
  });
  const escalation = { steps: [{ personId: id, afterMin: 0 }], repeatMin: 5, morningAt: '07:00' };
  await ask('/ladder', { method: 'PUT', body: JSON.stringify(escalation) });
  const points: Point[] = [];
  const sendNow = (value: number) => {
    const point = { atMs: Date.now(), value };
    points.push(point);
    return send(daemon, point);
  };
  expect(await sendNow(CALM_C)).toBe(true);
  await withoutDelay(daemon);
  disk.fill();
  const filling = async () => ((await sendNow(CALM_C)) ? null : true);
  await until(filling, { what: 'a full disk', withinMs: WITHIN_MS });
  expect(await sendNow(HOT_C)).toBe(false);
  await untilSent(webhook, `alarm.raised ${HOT}`);
  await untilSent(webhook, `alarm.raised ${RECORD}`);
  const mailed = async () => (mail.mails.length >= 2 ? mail.mails : null);
  const subjects = (await until(mailed, { what: 'two mails', withinMs: WITHIN_MS })).map(
    ({ headers }) => headers['subject'],
  );
  expect(subjects.filter((subject) => subject?.includes('48.0'))).toHaveLength(1);
  expect((await fetch(`${daemon.httpUrl}/healthz`)).status).toBe(200);
  expect(await sendNow(CALM_C)).toBe(false);
  await untilSent(webhook, `alarm.returned ${HOT}`);

  disk.free();
  await untilWritable(daemon, true);
  for (const point of points) expect(await send(daemon, point)).toBe(true);
  await untilSent(webhook, `alarm.returned ${RECORD}`);
  expect(storedTimes(daemon)).toEqual(points.map(({ atMs }) => atMs));
  const ids = webhook.requests.map(({ headers }) => headers['webhook-id']);
  expect(new Set(ids).size).toBe(ids.length);
  const hot = notified(webhook).filter((what) => what.endsWith(HOT));
  expect(hot).toEqual([`alarm.raised ${HOT}`, `alarm.returned ${HOT}`]);
  const { events } = eventsSchema.parse(await ask(`/alarms/${HOT}/events`));
  expect(events.map(({ transition }) => transition).toSorted()).toEqual(['raised', 'returned']);
});

type Start = {
  readonly as: PreparedDisk['as'];
  readonly after: 'SIGTERM' | 'SIGKILL';
  readonly reserve: boolean;
};
const STARTS: readonly Start[] = [
  { as: 'full', after: 'SIGTERM', reserve: true },
  { as: 'full', after: 'SIGTERM', reserve: false },
  { as: 'full', after: 'SIGKILL', reserve: false },
  { as: 'read-only', after: 'SIGTERM', reserve: true },
  { as: 'read-only', after: 'SIGKILL', reserve: true },
];

test.each(isMounted ? STARTS : [])(
  'a start on a disk that is $as, after $after, reserve $reserve: serves what is there, judges, calls, and writes once it can',
  async ({ as, after, reserve }) => {
    const before = await startDaemon();
    onTestFinished(() => before.close());
    const device = await connectPublisher({ url: before.mqttUrl });
    const startMs = Date.now() - 60_000;
    for (const n of [0, 1, 2]) {
      const payload = packOfAir({ atMs: startMs + n * 1_000, value: CALM_C });
      await device.publish({ topic: readingsTopic('bench-1'), payload });
    }
    await device.close();
    const settings = { alarms: { 'air-far-over-ceiling': { onDelayMs: 0, offDelayMs: 0 } } };
    await before.patch('/api/v1/places/bench-1', { settings });
    await (after === 'SIGTERM' ? before.stop() : before.kill());
    const reserveFile = join(before.dataDir, 'strikewell.reserve');
    // as large as it would be on the small disk
    if (reserve) writeFileSync(reserveFile, randomBytes(3 * 1024 * 1024));
    else rmSync(reserveFile);

    const daemon = await open({ prepared: { from: before.dataDir, as } });
    const { disk, webhook, ask, httpUrl } = daemon;
    expect((await fetch(`${httpUrl}/healthz`)).status).toBe(200);
    expect(placesSchema.parse(await ask('/places')).places.map(({ id }) => id)).toEqual(['bench-1']);
    const hot = { atMs: Date.now(), value: HOT_C };
    expect(await send(daemon, hot)).toBe(false);
    await untilSent(webhook, `alarm.raised ${HOT}`);
    await untilSent(webhook, `alarm.raised ${RECORD}`);
    expect(await daemon.writable()).toBe(false);
    if (as === 'full') disk.free();
    else disk.remount();
    await untilWritable(daemon, true);
    expect(await send(daemon, hot)).toBe(true);
    expect(storedTimes(daemon)).toEqual([0, 1_000, 2_000].map((ms) => startMs + ms).concat(hot.atMs));
    expect(notified(webhook).filter((what) => what.endsWith(HOT))).toEqual([`alarm.raised ${HOT}`]);
  },
);

test.each(['3.1.1', '5'])(
  'at an outside broker, MQTT %s, 60 readings after the disk is full still call, and are stored once in the end',
  async (version) => {
    const mosquitto: Mosquitto = await startMosquitto();
    onTestFinished(() => mosquitto.close());
    const daemon = await open({ mqttUrl: mosquitto.url, version });
    const { disk, webhook } = daemon;
    const device = await connectPublisher(mosquitto);
    const startMs = Date.now() - 120_000;
    let sent = 0;
    const publish = async (value: number) => {
      const payload = packOfAir({ atMs: startMs + sent * 1_000, value });
      sent += 1;
      await device.publish({ topic: readingsTopic('bench-1'), payload });
    };
    const joined = async () =>
      joinedSchema.parse(await daemon.ask('/house')).broker.connected ? true : null;
    await until(joined, { what: 'a broker that is joined', withinMs: WITHIN_MS });
    await publish(CALM_C);
    const isThere = async () => {
      return placesSchema.parse(await daemon.ask('/places')).places.length > 0 ? true : null;
    };
    await until(isThere, { what: 'a place', withinMs: WITHIN_MS });
    await withoutDelay(daemon);
    disk.fill();
    const filling = async () => {
      await publish(CALM_C);
      return (await daemon.writable()) ? null : true;
    };
    await until(filling, { what: 'a full disk', withinMs: WITHIN_MS });
    for (let n = 0; n < 59; n += 1) await publish(CALM_C);
    const calling = async () => {
      await publish(HOT_C);
      return notified(webhook).includes(`alarm.raised ${HOT}`) ? true : null;
    };
    await until(calling, { what: 'a call', withinMs: WITHIN_MS });
    await device.close();
    disk.free();
    await untilWritable(daemon, true);
    const wanted = Array.from({ length: sent }, (_, n) => startMs + n * 1_000);
    const all = async () => (storedTimes(daemon).length === sent ? true : null);
    await until(all, { what: `${sent} readings`, withinMs: WITHIN_MS });
    expect(storedTimes(daemon)).toEqual(wanted);
  },
);
