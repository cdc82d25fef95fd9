import { readFileSync } from 'node:fs';
import { connectAsync } from 'mqtt';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { z } from 'zod';
import { LIMITS } from '../../server/domain/limits/table.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import {
  ACCEPTED,
  connectPacket,
  lengthOf,
  publishPacket,
  type RawClient,
  rawClient,
  subscribePacket,
  UNAVAILABLE,
} from '../support/raw-mqtt.ts';
import { until } from '../support/wait.ts';

let daemon: Daemon;
const opened: RawClient[] = [];

beforeAll(async () => {
  daemon = await startDaemon();
}, 60_000);
afterAll(async () => {
  for (const { socket } of opened) socket.destroy();
  await daemon.close();
});

async function raw(first: Buffer | null = null): Promise<RawClient> {
  const client = await rawClient(daemon.mqttPort, first);
  opened.push(client);
  return client;
}

const closed = (client: RawClient) =>
  until(() => (client.isClosed() ? true : null), { what: 'end of the connection', withinMs: 30_000 });
const receivedBy = (client: RawClient, bytes: Buffer) =>
  until(() => (client.received().includes(bytes) ? true : null), { what: 'an answer', withinMs: 30_000 });

async function loggedIn(id: string, keepaliveS = 60): Promise<RawClient> {
  const client = await raw(connectPacket({ id, keepaliveS }));
  await receivedBy(client, ACCEPTED);
  return client;
}

const devices = z.object({ turnedAway: z.object({ byWhy: z.record(z.string(), z.number()) }) });
async function turnedAway(why: string): Promise<number> {
  return (await daemon.read('/api/v1/devices', devices)).turnedAway.byWhy[why] ?? 0;
}

const residentMib = () =>
  Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${daemon.pid()}/status`, 'utf8'))?.[1]) / 1024;

/** Sends a packet that claims 200 MB, as much of it as the other end takes before it hangs up. */
async function sendLarge(client: RawClient): Promise<void> {
  const piece = Buffer.alloc(64 * 1024, 'A');
  client.socket.write(Buffer.concat([Buffer.from([0x30]), lengthOf(200_000_000)]));
  for (let sent = 0; sent < 25_000_000 && !client.isClosed(); sent += piece.length) {
    if (client.socket.write(piece)) continue;
    await Promise.race([new Promise((resolve) => client.socket.once('drain', resolve)), closed(client)]);
  }
  await closed(client);
}

it('8 and then 200 hostile connections, half of which logged in, take less than a third more memory', async () => {
  const quiet = residentMib();
  const eight = await Promise.all(Array.from({ length: 8 }, (_, n) => loggedIn(`large-${n}`)));
  await Promise.all(eight.map(sendLarge));
  const afterEight = residentMib();
  const partial = Buffer.concat([Buffer.from([0x30]), lengthOf(69_000), Buffer.alloc(60_000, 'A')]);
  for (let n = 0; n < 100; n++) {
    const client = await loggedIn(`partial-${n}`);
    client.socket.write(partial);
    await raw(Buffer.concat([Buffer.from([0x10]), lengthOf(4_000), Buffer.alloc(3_900)]));
  }
  await new Promise((resolve) => setTimeout(resolve, 300));
  const afterTwoHundred = residentMib();
  for (const { socket } of opened.splice(0)) socket.destroy();
  const [ratio8, ratio200] = [afterEight / quiet, afterTwoHundred / quiet];
  console.log(
    `memory: ${quiet.toFixed(0)} MiB, 8 × ${ratio8.toFixed(2)}, 200 × ${ratio200.toFixed(2)} of it`,
  );
  expect(ratio8).toBeLessThan(1.33);
  expect(ratio200).toBeLessThan(1.33);
  expect(await turnedAway('packet-too-large')).toBeGreaterThanOrEqual(8);
}, 90_000);

it('before CONNECT 4,096 bytes are accepted and 4,097 are not; after it 70,000 and not 70,001', async () => {
  const before = (willBytes: number) => connectPacket({ id: 'a', willBytes });
  const room = LIMITS.mqttConnectBytes - (before(1).length - 2 - 1);
  const fits = before(room - 1);
  const tooLarge = before(room + 1);
  await receivedBy(await raw(fits), ACCEPTED);
  const refused = await raw(tooLarge);
  await closed(refused);
  expect(refused.received()).toHaveLength(0);
  const payload = (bytes: number) => Buffer.alloc(bytes - 2 - 'junk'.length - 2, 'A');
  const client = await loggedIn('large');
  client.socket.write(publishPacket('junk', payload(70_000), 7));
  await receivedBy(client, Buffer.from([0x40, 2, 0, 7]));
  client.socket.write(publishPacket('junk', payload(70_001), 8));
  await closed(client);
}, 60_000);

it('a message of 20,000 bytes in pieces of 9 is accepted, and a length of five bytes ends the connection', async () => {
  const client = await loggedIn('pieces');
  const packet = publishPacket('junk', Buffer.alloc(20_000, 'A'), 3);
  for (let at = 0; at < packet.length; at += 9) client.socket.write(packet.subarray(at, at + 9));
  await receivedBy(client, Buffer.from([0x40, 2, 0, 3]));
  const count = await turnedAway('bad-packet');
  client.socket.write(Buffer.from([0x30, 0x80, 0x80, 0x80, 0x80, 0x01]));
  await closed(client);
  const stranger = await raw(Buffer.from('GET / HTTP/1.1\r\n\r\n'));
  await closed(stranger);
  expect(await turnedAway('bad-packet')).toBe(count + 2);
}, 60_000);

it('packets that follow CONNECT at once are accepted after it', async () => {
  const pack = Buffer.from('[{"n":"air/temperature","u":"Cel","v":21}]');
  const all = [connectPacket({ id: 'eager' }), publishPacket('strikewell/1/eager/readings', pack, 9)];
  const client = await raw(Buffer.concat(all));
  await receivedBy(client, Buffer.from([0x40, 2, 0, 9]));
  expect((await daemon.get('/api/v1/places/eager')).status).toBe(200);
}, 60_000);

it('a client that asked for a keepalive of 1 s and says nothing is cut off', async () => {
  await closed(await loggedIn('half-open', 1));
}, 60_000);

it('a subscriber that does not read is cut off, and a message beside it reaches another at once', async () => {
  const slow = await loggedIn('slow');
  slow.socket.write(subscribePacket(['junk/#']));
  await receivedBy(slow, Buffer.from([0x90, 3, 0, 1, 0]));
  slow.socket.pause();
  const other = await connectAsync(daemon.mqttUrl);
  const received: string[] = [];
  other.on('message', (topic) => received.push(topic));
  await other.subscribeAsync('other/#');
  const count = await turnedAway('reads-too-slowly');
  const sender = await connectAsync(daemon.mqttUrl);
  const payload = Buffer.alloc(60_000, 'A');
  // the kernel keeps some megabytes for a socket that is not read
  for (let n = 0; n < 400 && (await turnedAway('reads-too-slowly')) === count; n++) {
    for (let m = 0; m < 5; m++) await sender.publishAsync('junk/1', payload, { qos: 1 });
    await sender.publishAsync('other/1', 'x', { qos: 1 });
  }
  expect(await turnedAway('reads-too-slowly')).toBe(count + 1);
  await until(() => (received.length > 0 ? true : null), { what: 'message beside', withinMs: 20_000 });
  await other.endAsync();
  await sender.endAsync();
}, 90_000);

it('of 60 subscriptions of a client 50 are granted, and none of more than 1,024 bytes or 32 levels', async () => {
  const client = await connectAsync(daemon.mqttUrl);
  const asked = Array.from({ length: 60 }, (_, n) => `mine/${n}`);
  const granted = (await Promise.all(asked.map((filter) => client.subscribeAsync(filter).catch(() => []))))
    .flat()
    .filter(({ qos }) => qos === 0);
  expect(granted).toHaveLength(LIMITS.mqttSubscriptionsPerClient);
  await client.endAsync();
  const other = await connectAsync(daemon.mqttUrl);
  const refused = await other.subscribeAsync('a'.repeat(1_025)).catch(() => null);
  expect(refused?.[0]?.qos ?? 128).toBe(128);
  const count = await turnedAway('subscription');
  expect(count).toBe(11);
  await other.endAsync();
}, 60_000);

it('200 clients without a login fill the places of their address; a device with its own secret comes in beside them', async () => {
  const { body } = await daemon.post('/api/v1/devices', { device: 'bench-1' });
  const { secret } = z.object({ secret: z.string() }).parse(body);
  let full: RawClient | null = null;
  for (let n = 0; n <= LIMITS.mqttSharedClientsPerAddress && full === null; n++) {
    const client = await raw(connectPacket({ id: `flood-${n}` }));
    await until(() => (client.received().length >= 4 ? true : null), { what: 'CONNACK', withinMs: 30_000 });
    if (client.received().equals(UNAVAILABLE)) full = client;
  }
  expect(full?.received()).toEqual(UNAVAILABLE);
  await receivedBy(await raw(connectPacket({ id: 'bench-1', login: { name: 'bench-1', secret } })), ACCEPTED);
  for (const { socket } of opened.splice(0)) socket.destroy();
}, 90_000);

it('of 100 connections that never log in 64 stay open at most, and all are ended after a while', async () => {
  const silent = await Promise.all(Array.from({ length: 100 }, () => raw()));
  const open = () => silent.filter((client) => !client.isClosed()).length;
  await until(() => (open() <= LIMITS.mqttPendingPerAddress ? true : null), {
    what: 'the oldest ended',
    withinMs: 20_000,
  });
  await receivedBy(await raw(connectPacket({ id: 'in-time' })), ACCEPTED);
  await until(() => (open() === 0 ? true : null), { what: 'all ended', withinMs: 60_000 });
  expect(await turnedAway('no-login-in-time')).toBeGreaterThanOrEqual(LIMITS.mqttPendingPerAddress - 1);
}, 90_000);
