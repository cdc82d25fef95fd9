import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { connectAsync, type IClientOptions, type MqttClient } from 'mqtt';
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest';
import { readingsTopic, statusTopic } from '../../firmware-contracts/v1/topics.ts';
import type { DevicesAnswer, NewDevice } from '../../shared/wire/probes/device.ts';
import { askAs, outerAddress, runOwner } from '../support/access.ts';
import { runCommand } from '../support/command.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { temporaryFolder } from '../support/folders.ts';
import { packOf } from '../support/packs.ts';
import { until } from '../support/wait.ts';

const OWNER = 'first words of the owner';
const TOO_LATE_MS = 3_000;
const pack = (atMs = Date.now()) => packOf([{ probe: 'air/temperature', unit: 'Cel', value: 21.4, atMs }]);

let daemon: Daemon;
let [cookie, dataDir, mqttUrl] = ['', '', ''];
const secrets: string[] = [];

beforeAll(async () => {
  dataDir = temporaryFolder('data');
  await runOwner(dataDir, OWNER);
  daemon = await startDaemon({
    settings: { STRIKEWELL_HOST: '0.0.0.0', STRIKEWELL_DATA_DIR: dataDir, STRIKEWELL_TIME_ZONE: 'UTC' },
  });
  mqttUrl = `mqtt://${outerAddress()}:${daemon.mqttPort}`;
  const body = { name: 'owner', password: OWNER };
  cookie = (await askAs(`${daemon.httpUrl}/api/v1/access/sign-in`, { method: 'POST', body })).cookie;
});
afterAll(() => daemon.close());

const order = (method: string, path: string, body?: unknown) =>
  askAs(`${daemon.httpUrl}/api/v1${path}`, { method, cookie, body });
async function secretOf(method: string, path: string, body: unknown = {}): Promise<string> {
  const { status, text } = await order(method, path, body);
  if (status >= 300) throw new Error(`${path} answered ${status}: ${text}`);
  const { secret } = JSON.parse(text) as NewDevice;
  secrets.push(secret);
  return secret;
}
const answer = async () => JSON.parse((await order('GET', '/devices')).text) as DevicesAnswer;
const rowOf = async (device: string) => (await answer()).devices.find((row) => row.device === device);
const placesOf = async () => (await order('GET', '/places')).text;

type Coming = { device: string; secret: string; clientId?: string; more?: IClientOptions };
async function connect({ device, secret, clientId = device, more = {} }: Coming): Promise<MqttClient> {
  const client = await connectAsync(
    mqttUrl,
    {
      username: device,
      password: secret,
      clientId,
      protocolVersion: 4,
      reconnectPeriod: 0,
      ...more,
    },
    false,
  );
  client.on('error', () => undefined);
  onTestFinished(() => void client.end(true));
  return client;
}
function cutOff(client: MqttClient): Promise<string> {
  const gone = new Promise<string>((resolve) => client.once('close', () => resolve('cut off')));
  const late = new Promise<string>((resolve) => setTimeout(() => resolve('still there'), TOO_LATE_MS));
  return Promise.race([gone, late]);
}

describe('a device with a secret of its own', () => {
  test('publishes as itself and is listed with its connection, packs, clock and status', async () => {
    const secret = await secretOf('POST', '/devices', { device: 'bench-1' });
    // 43 characters of base64url hold 256 bits
    expect(secret).toMatch(/^[\w-]{43}$/);
    const client = await connect({ device: 'bench-1', secret });
    const status = { state: 'online', signalDbm: -61, firmware: 'node 1.2' };
    await client.publishAsync(statusTopic('bench-1'), JSON.stringify(status), { qos: 1, retain: true });
    const payload = pack(Date.now() - 2_000);
    for (let sent = 0; sent < 2; sent++)
      await client.publishAsync(readingsTopic('bench-1'), payload, { qos: 1 });
    await client.publishAsync(readingsTopic('bench-1'), 'no pack', { qos: 1 });
    const row = await rowOf('bench-1');
    expect(row).toMatchObject({
      login: { state: 'enabled' },
      probes: 1,
      places: ['bench-1'],
      second: null,
      packs: 3,
      readings: 2,
      repeats: 1,
      conflicts: 0,
      refused: 1,
      status: { state: 'online', signalDbm: -61, firmware: 'node 1.2', dropped: null },
      connections: [{ clientId: 'bench-1', address: outerAddress() }],
    });
    // 2 s behind, and up to a second on its way on a busy machine
    expect(row?.clockAheadS).toBeLessThanOrEqual(-2);
    expect(row?.clockAheadS).toBeGreaterThan(-3);
    expect(Date.now() - Date.parse(row?.seenAt ?? '')).toBeLessThan(5_000);
  });

  test('that writes another’s readings or status is cut off, counted, and nothing is stored', async () => {
    const secret = await secretOf('POST', '/devices', { device: 'thief' });
    await secretOf('POST', '/devices', { device: 'victim' });
    const topics = [
      readingsTopic('victim'),
      statusTopic('victim'),
      readingsTopic('nobody-yet'),
      'strikewell/1/alarms/thief.no-data',
      'strikewell/1/thief/other',
      'elsewhere',
    ];
    for (const topic of topics) {
      const client = await connect({ device: 'thief', secret });
      const gone = cutOff(client);
      client.publish(topic, pack(), { qos: 1 });
      expect(await gone).toBe('cut off');
    }
    const { turnedAway } = await answer();
    expect(turnedAway.byWhy).toMatchObject({ 'other-topic': 3, 'no-topic': 3 });
    expect(turnedAway.newest.map(({ topic }) => topic)).toEqual(topics.toReversed());
    expect(await placesOf()).not.toMatch(/victim|nobody-yet|thief/);
    expect(await rowOf('victim')).toMatchObject({ packs: 0, status: null });
  });

  test('whose Will names another’s status leaves no such status behind', async () => {
    const secret = await secretOf('POST', '/devices', { device: 'liar' });
    const will = {
      topic: statusTopic('victim'),
      payload: Buffer.from('{"state":"offline"}'),
      qos: 1 as const,
    };
    const client = await connect({ device: 'liar', secret, more: { will: { ...will, retain: true } } });
    const before = (await answer()).turnedAway.byWhy['other-topic'] ?? 0;
    client.stream.destroy();
    const refused = async () =>
      (await answer()).turnedAway.byWhy['other-topic'] === before + 1 ? true : null;
    await until(refused, { what: 'the Will is refused', withinMs: TOO_LATE_MS });
    expect(await rowOf('victim')).toMatchObject({ status: null });
  });

  test('receives alarms and the heartbeat, and nothing of another device (128)', async () => {
    const secret = await secretOf('POST', '/devices', { device: 'listener' });
    const client = await connect({ device: 'listener', secret });
    const granted = (filter: string) => {
      // MQTT 3.1.1, 3.9.3: 128 is a failure
      const { promise, resolve } = Promise.withResolvers<number>();
      client.subscribe(filter, { qos: 1 }, (_error, grants, packet) =>
        resolve(Number(packet?.granted[0] ?? grants?.[0]?.qos)),
      );
      return promise;
    };
    expect([await granted('strikewell/1/alarms/+'), await granted('strikewell/1/watch/heartbeat')]).toEqual([
      1, 1,
    ]);
    for (const filter of ['#', 'strikewell/1/+/readings', 'strikewell/1/victim/status'])
      expect(await granted(filter)).toBe(128);
  });

  test('cannot be published for with the login that others share, which goes on for the others', async () => {
    const shared = await secretOf('PUT', '/access/device-login', { name: 'devices' });
    const spoken = async (device: string) => {
      const client = await connect({ device: 'devices', secret: shared, clientId: `by-${device}` });
      const gone = cutOff(client);
      const taken = client.publishAsync(readingsTopic(device), pack(), { qos: 1 }).then(() => 'taken');
      return Promise.race([taken, gone]);
    };
    expect([await spoken('victim'), await spoken('sharer')]).toEqual(['cut off', 'taken']);
    expect(await placesOf()).not.toContain('victim');
    const stealing = connect({ device: 'devices', secret: shared, clientId: 'victim' });
    // MQTT 3.1.1, table 3.1: 2 identifier rejected
    await expect(stealing).rejects.toMatchObject({ code: 2 });
  });

  test('of which the secret is made again is cut off within 3 s, and the old secret works no more', async () => {
    const old = await secretOf('POST', '/devices', { device: 'rotated' });
    const client = await connect({ device: 'rotated', secret: old });
    const gone = cutOff(client);
    const fresh = await secretOf('POST', '/devices/rotated/secret');
    expect(await gone).toBe('cut off');
    // MQTT 3.1.1, table 3.1: 4 bad user name or password
    await expect(connect({ device: 'rotated', secret: old })).rejects.toMatchObject({ code: 4 });
    expect((await connect({ device: 'rotated', secret: fresh })).connected).toBe(true);
  });

  test.each(['disabled', 'retired'])(
    'that is %s is cut off within 3 s, stays listed, and is back when enabled',
    async (state) => {
      const device = `was-${state}`;
      const secret = await secretOf('POST', '/devices', { device });
      const client = await connect({ device, secret });
      const gone = cutOff(client);
      expect((await order('PATCH', `/devices/${device}`, { state })).status).toBe(204);
      expect(await gone).toBe('cut off');
      // MQTT 3.1.1, table 3.1: 5 not authorized
      await expect(connect({ device, secret })).rejects.toMatchObject({ code: 5 });
      expect(await rowOf(device)).toMatchObject({ login: { state }, connections: [] });
      expect((await order('POST', '/devices', { device })).status).toBe(400);
      await order('PATCH', `/devices/${device}`, { state: 'enabled' });
      expect((await connect({ device, secret })).connected).toBe(true);
    },
  );
});

test('an anonymous client on an address that others reach is turned away and counted, and stores nothing', async () => {
  const before = (await answer()).turnedAway.byWhy['anonymous'] ?? 0;
  const connecting = connectAsync(
    mqttUrl,
    { protocolVersion: 4, reconnectPeriod: 0, clientId: 'stranger' },
    false,
  );
  await expect(connecting).rejects.toMatchObject({ code: 5 });
  const { turnedAway } = await answer();
  expect(turnedAway.byWhy['anonymous']).toBe(before + 1);
  expect(turnedAway.newest[0]).toMatchObject({
    why: 'anonymous',
    clientId: 'stranger',
    name: null,
    address: outerAddress(),
  });
});

describe('a second client with the secret of a device', () => {
  const secondOf = async (device: string) => (await rowOf(device))?.second ?? null;

  test('that publishes by turns with the first is notified after the first pack that shows it, with 2 connections', async () => {
    const secret = await secretOf('POST', '/devices', { device: 'doubled' });
    const one = await connect({ device: 'doubled', secret, clientId: 'one' });
    const two = await connect({ device: 'doubled', secret, clientId: 'two' });
    const publish = (client: MqttClient) => client.publishAsync(readingsTopic('doubled'), pack(), { qos: 1 });
    await publish(one);
    await publish(two);
    expect(await secondOf('doubled')).toBeNull();
    await publish(one);
    expect(await secondOf('doubled')).toMatchObject({ kind: 'alternating', times: 1, withinMin: 10 });
    expect((await rowOf('doubled'))?.connections.map(({ clientId }) => clientId)).toEqual(['one', 'two']);
    expect(daemon.stdout() + daemon.stderr()).toContain('a second client seems to speak as a device');
  });

  test('that comes under the same client id is shown the 3rd time one disconnects the other', async () => {
    const secret = await secretOf('POST', '/devices', { device: 'fought-over' });
    const kinds = [];
    for (let came = 0; came < 4; came++) {
      await connect({ device: 'fought-over', secret });
      kinds.push((await secondOf('fought-over'))?.kind ?? null);
    }
    expect(kinds).toEqual([null, null, null, 'taking-over']);
    expect((await rowOf('fought-over'))?.connections).toHaveLength(1);
  });
});

test('no secret stands in the list, the log, the doctor’s words or the record', async () => {
  const doctor = await runCommand(['doctor', '--json'], { STRIKEWELL_DATA_DIR: dataDir });
  const files = ['strikewell.db', 'strikewell.db-wal'].map((name) =>
    readFileSync(join(dataDir, name)).toString('latin1'),
  );
  const { text } = await order('GET', '/devices');
  const all = [text, doctor.stdout, daemon.stdout(), daemon.stderr(), ...files];
  expect(secrets.length).toBeGreaterThan(10);
  for (const secret of secrets) expect(all.filter((one) => one.includes(secret))).toEqual([]);
});
