import { afterAll, beforeAll, expect, test } from 'vitest';
import { WebSocket } from 'ws';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { LIVE_MESSAGES, type LiveMessage, liveMessageSchema } from '../../shared/wire/live.ts';
import { alarmMessageSchema, heartbeatSchema, placeNowMessageSchema } from '../../shared/wire/topics.ts';
import { askAs } from '../support/access.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import {
  connectPublisher,
  connectSubscriber,
  type Publisher,
  type Subscriber,
} from '../support/mqttPublisher.ts';
import { until } from '../support/wait.ts';

/** More places than the first part of the state holds. */
const PLACES = 60;

let daemon: Daemon;
let device: Publisher;
let subscriber: Subscriber;
beforeAll(async () => {
  daemon = await startDaemon();
  device = await connectPublisher({ url: daemon.mqttUrl });
  for (let i = 0; i < PLACES; i++) await report(`shelf-${i}`, { n: 'air/temperature', u: 'Cel', v: 21 });
  subscriber = await connectSubscriber({ url: daemon.mqttUrl }, 'strikewell/1/#');
});
afterAll(async () => {
  await Promise.all([device.close(), subscriber.close()]);
  await daemon.close();
});

const report = (name: string, ...records: object[]) =>
  device.publish({ topic: readingsTopic(name), payload: JSON.stringify(records) });

/** The messages of a connection as they come, each held to its schema: not one field more. */
async function listen(query: string) {
  const messages: LiveMessage[] = [];
  const faults: string[] = [];
  const socket = new WebSocket(`${daemon.httpUrl.replace('http', 'ws')}/live${query}`);
  socket.on('message', (data) => {
    const read = liveMessageSchema.safeParse(JSON.parse(String(data)));
    if (read.success) messages.push(read.data);
    else faults.push(`${read.error.message}: ${String(data).slice(0, 2_000)}`);
  });
  await until(() => messages[0] ?? faults[0] ?? null, { what: 'first message', withinMs: 10_000 });
  const first = <T extends LiveMessage['type']>(type: T) =>
    until(() => messages.find((message) => message.type === type) ?? faults[0] ?? null, {
      what: `message of type ${type}`,
      withinMs: 30_000,
    });
  return { messages, faults, first, close: () => socket.close() };
}

test('each of the 9 messages of the live feed fits its schema to the last field, in numbers without a hole', async () => {
  const feed = await listen('?parts=1');
  await feed.first('part');
  await report('bench-1', { n: 'air/temperature', u: 'Cel', v: 24.0372 });
  await feed.first('place');
  await report('bench-1', { n: 'air/temperature', u: 'Cel', v: 24.0373, t: 0.5 });
  await feed.first('now');
  const hot = (t: number) => ({ n: 'air/temperature', u: 'Cel', v: 40, t });
  await report('bench-hot', hot(-90), hot(0));
  await feed.first('alarm');
  expect((await daemon.post('/api/v1/watch')).status).toBe(200);
  await report('bench-1', { n: 'air/humidity', u: '%RH', v: 71.234 });
  await feed.first('heard');
  await feed.first('house');
  await feed.first('beat');
  expect((await daemon.post('/api/v1/places/shelf-0/archive')).status).toBe(200);
  await feed.first('place-gone');
  feed.close();
  expect(feed.faults).toEqual([]);
  expect(new Set(feed.messages.map(({ type }) => type))).toEqual(new Set(Object.keys(LIVE_MESSAGES)));
  expect(feed.messages.map(({ seq }) => seq)).toEqual(feed.messages.map((_, i) => i + 1));
});

test('a connection without parts has the whole state in its first message', async () => {
  const feed = await listen('');
  feed.close();
  expect(feed.faults).toEqual([]);
  const [snapshot] = feed.messages;
  expect(snapshot?.type === 'snapshot' && snapshot.places.length).toBeGreaterThan(PLACES);
});

test('asked for without an upgrade it answers 426', async () => {
  const { status, text } = await askAs(`${daemon.httpUrl}/live`);
  expect([status, JSON.parse(text).error.code]).toEqual([426, 'websocket-needed']);
});

test('what is retained fits its schema to the last field, its numbers rounded; over HTTP they are as they were sent', async () => {
  await report(
    'bench-2',
    { n: 'air/temperature', u: 'Cel', v: 22.123_456 },
    { n: 'air/humidity', u: '%RH', v: 66.666 },
  );
  const on = (topic: string) =>
    until(
      () =>
        subscriber.received.findLast((message) => message.topic === topic && message.payload !== '') ?? null,
      {
        what: topic,
        withinMs: 30_000,
      },
    );
  const read = async <T>(topic: string, schema: z.ZodType<T>) =>
    schema.parse(JSON.parse((await on(topic)).payload));
  const now = await read('strikewell/1/places/bench-2/now', placeNowMessageSchema);
  const asItIs = await daemon.read(
    '/api/v1/places/bench-2/now',
    z.looseObject({ quantities: z.record(z.string(), z.looseObject({ value: z.number() })) }),
  );
  const values = (of: Readonly<Record<string, { value: number } | undefined>>) =>
    ['airTemperatureC', 'relativeHumidityPct'].map((name) => of[name]?.value);
  expect(values(now.quantities)).toEqual([22.12, 66.7]);
  expect(values(asItIs.quantities)).toEqual([22.123456, 66.666]);
  const alarm = await read('strikewell/1/alarms/bench-hot.air-over-ceiling', alarmMessageSchema);
  expect(alarm.words.headline).toContain('bench-hot');
  const heartbeat = await read('strikewell/1/watch/heartbeat', heartbeatSchema);
  expect(heartbeat.state).toBe('online');
});
