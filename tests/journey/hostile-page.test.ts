import { afterAll, beforeAll, expect, it } from 'vitest';
import { WebSocket } from 'ws';
import { z } from 'zod';
import { LIMITS } from '../../server/domain/limits/table.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { type RawClient, rawClient } from '../support/raw-mqtt.ts';
import { until } from '../support/wait.ts';

let daemon: Daemon;

beforeAll(async () => {
  daemon = await startDaemon();
}, 60_000);
afterAll(() => daemon.close());

const devices = z.object({ turnedAway: z.object({ byWhy: z.record(z.string(), z.number()) }) });
async function turnedAway(why: string): Promise<number> {
  return (await daemon.read('/api/v1/devices', devices)).turnedAway.byWhy[why] ?? 0;
}

function halfSent(path: string): Promise<RawClient> {
  const head = [
    `POST ${path} HTTP/1.1`,
    `Host: 127.0.0.1:${daemon.httpPort}`,
    'Content-Type: application/json',
    'Content-Length: 1000',
    '\r\n{"',
  ].join('\r\n');
  return rawClient(daemon.httpPort, Buffer.from(head));
}

const openOf = (clients: readonly RawClient[]) => clients.filter((client) => !client.isClosed()).length;

it('of 800 half-sent bodies 128 stay open at most, the page answers beside them, and all end with 408, as a half-sent head does; one of 20,000 bytes gets 431', async () => {
  const half: RawClient[] = [];
  for (let n = 0; n < 800; n++) half.push(await halfSent('/api/v1/watch'));
  await until(() => (openOf(half) <= LIMITS.httpConnectionsPerAddress ? true : null), {
    what: 'the oldest ended',
    withinMs: 30_000,
  });
  expect((await daemon.get('/api/v1/places')).status).toBe(200);
  expect(await turnedAway('page-connections')).toBeGreaterThanOrEqual(800 - LIMITS.httpConnectionsPerAddress);
  const late = await rawClient(daemon.httpPort, Buffer.from('GET / HTTP/1.1\r\nHost: a\r\n'));
  const large = await rawClient(
    daemon.httpPort,
    Buffer.from(`GET / HTTP/1.1\r\nx: ${'a'.repeat(20_000)}\r\n`),
  );
  await until(() => (openOf([...half, late, large]) === 0 ? true : null), {
    what: 'all ended',
    withinMs: 90_000,
  });
  expect(late.received().toString('utf8')).toContain('408 Request Timeout');
  expect(large.received().toString('utf8')).toContain('431 Request Header Fields Too Large');
  expect(half.at(-1)?.received().toString('utf8')).toContain('408 Request Timeout');
  expect(await turnedAway('page-request-late')).toBeGreaterThan(0);
}, 150_000);

/** Opens a websocket. @returns null when it is refused */
function page(headers: Readonly<Record<string, string>> = {}): Promise<WebSocket | null> {
  return new Promise((resolve) => {
    const socket = new WebSocket(`${daemon.httpUrl.replace('http', 'ws')}/live`, { headers });
    socket.once('open', () => resolve(socket));
    socket.once('error', () => resolve(null));
  });
}

const cookieOf = (response: Response) => (response.headers.getSetCookie()[0] ?? '').split(';')[0] ?? '';

async function signedIn(name: string, password: string): Promise<string> {
  const response = await fetch(`${daemon.httpUrl}/api/v1/access/sign-in`, {
    method: 'POST',
    body: JSON.stringify({ name, password }),
    headers: { 'content-type': 'application/json' },
  });
  return cookieOf(response);
}

it('one account has 40 pages and one address 60; the owner comes in from the same address all the same', async () => {
  const json = { 'content-type': 'application/json' };
  const password = 'nine wet cuttings';
  const owned = await fetch(`${daemon.httpUrl}/api/v1/access/owner`, {
    method: 'PUT',
    body: JSON.stringify({ password }),
    headers: json,
  });
  const owner = cookieOf(owned);
  for (const name of ['anna', 'ben']) {
    const body = JSON.stringify({ name, role: 'look', password });
    const made = await fetch(`${daemon.httpUrl}/api/v1/access/accounts`, {
      method: 'POST',
      body,
      headers: { ...json, cookie: owner },
    });
    expect(made.status).toBe(201);
  }
  const pages: WebSocket[] = [];
  for (const [name, most] of [
    ['anna', LIMITS.pagesPerAccount],
    ['ben', LIMITS.pagesPerAddress - LIMITS.pagesPerAccount],
  ] as const) {
    const cookie = await signedIn(name, password);
    let opened = 0;
    for (let n = 0; n < most + 3; n++) {
      const one = await page({ cookie });
      if (one === null) continue;
      opened += 1;
      pages.push(one);
    }
    expect(opened).toBe(most);
  }
  const own = await page({ cookie: owner });
  expect(own).not.toBeNull();
  for (const one of [...pages, own]) one?.terminate();
}, 90_000);
