import { connect } from 'node:net';
import { connectAsync } from 'mqtt';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { z } from 'zod';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { until } from '../support/wait.ts';

let daemon: Daemon;

beforeAll(async () => {
  daemon = await startDaemon();
}, 60_000);
afterAll(() => daemon.close());

/** Sends the head of a request for a websocket as it stands, and breaks off or waits for the first answer. */
function knock(path: string, { breakOff }: { readonly breakOff: boolean }): Promise<string> {
  const head = [
    `GET ${path} HTTP/1.1`,
    `Host: 127.0.0.1:${daemon.httpPort}`,
    'Connection: Upgrade',
    'Upgrade: websocket',
    'Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==',
    'Sec-WebSocket-Version: 13',
    '\r\n',
  ].join('\r\n');
  return new Promise((resolve, reject) => {
    const socket = connect(daemon.httpPort, '127.0.0.1', () => {
      socket.write(head);
      if (breakOff) socket.resetAndDestroy();
    });
    socket.on('error', reject);
    socket.on('close', () => resolve(''));
    socket.on('data', (data) => {
      socket.destroy();
      resolve(data.toString('utf8').split('\r\n')[0] ?? '');
    });
  });
}

it('30 requests for a websocket that is refused, each broken off at once, leave the daemon up', async () => {
  for (let i = 0; i < 30; i++) await knock('/nowhere', { breakOff: true });
  expect((await daemon.get('/healthz')).status).toBe(200);
});

it('a websocket asked for at // or at http://[/, which are no addresses, is refused with 403, and the daemon stays up', async () => {
  expect(await knock('//', { breakOff: false })).toBe('HTTP/1.1 403 Forbidden');
  expect(await knock('http://[/', { breakOff: false })).toBe('HTTP/1.1 403 Forbidden');
  expect((await daemon.get('/healthz')).status).toBe(200);
});

const captured = z.object({ messages: z.array(z.object({ topic: z.string(), json: z.unknown() })) });

it('a message of 32,000 nested brackets is listed without its JSON, and the one after it with', async () => {
  await daemon.post('/api/v1/mappings/listen', { filter: 'deep/#' });
  const client = await connectAsync(daemon.mqttUrl);
  await client.publishAsync('deep/1', `${'['.repeat(32_000)}${']'.repeat(32_000)}`, { qos: 1 });
  await client.publishAsync('deep/2', '{"t":[[21]]}', { qos: 1 });
  await client.endAsync();
  const { messages } = await daemon.read('/api/v1/mappings/listen', captured);
  expect(messages).toEqual([
    { topic: 'deep/1', json: null },
    { topic: 'deep/2', json: { t: [[21]] } },
  ]);
});

it('of 400 messages of 60,000 bytes to be kept at the broker 279 are kept, which is 16 MiB, and all are acknowledged', async () => {
  const client = await connectAsync(daemon.mqttUrl);
  const payload = Buffer.alloc(60_000, 'A');
  for (let n = 100; n < 500; n++) await client.publishAsync(`junk/${n}`, payload, { qos: 1, retain: true });
  const later = await connectAsync(daemon.mqttUrl);
  const kept: string[] = [];
  later.on('message', (topic) => kept.push(topic));
  await later.subscribeAsync('junk/#', { qos: 0 });
  await until(() => (kept.length >= 279 ? kept : null), { what: '279 kept messages', withinMs: 20_000 });
  // time for one too many to come
  await new Promise((resolve) => setTimeout(resolve, 500));
  await later.endAsync();
  await client.endAsync();
  // 16 × 1,048,576 bytes hold 279 times the 60,000 of a payload and 8 of its topic
  expect(kept).toHaveLength(279);
}, 60_000);

it('a file of exposures of 10,000 years is refused with 400 within 2 s, and one of 20 years is begun', async () => {
  const client = await connectAsync(daemon.mqttUrl);
  const pack = JSON.stringify([{ n: 'root/temperature', u: 'Cel', v: 22 }]);
  await client.publishAsync('strikewell/1/bench/readings', pack, { qos: 1 });
  await client.endAsync();
  const url = `${daemon.httpUrl}/api/v1/places/bench/export?what=exposures&by=day&as=csv`;
  const signal = AbortSignal.timeout(2_000);
  const long = await fetch(`${url}&from=0000-01-01T00:00:00Z&to=9999-12-31T00:00:00Z`, { signal });
  expect(long.status).toBe(400);
  const short = await fetch(`${url}&from=2006-01-01T00:00:00Z&to=2026-01-01T00:00:00Z`);
  expect(short.status).toBe(200);
  await short.body?.cancel();
});
