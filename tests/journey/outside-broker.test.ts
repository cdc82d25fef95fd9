import { once } from 'node:events';
import { createServer } from 'node:net';
import { Aedes } from 'aedes';
import { describe, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { airPack, untilStored } from '../contract/passage.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { untilReceived } from '../support/herald.ts';
import { type Mosquitto, type MosquittoOptions, startMosquitto } from '../support/mosquitto.ts';
import { type BrokerAddress, connectPublisher } from '../support/mqttPublisher.ts';
import { freePort } from '../support/ports.ts';
import { openRecord, type RecordFile } from '../support/record.ts';
import { until } from '../support/wait.ts';

const houseSchema = z.object({ broker: z.object({ embedded: z.boolean(), connected: z.boolean() }) });
const refusedSchema = z.object({ byCode: z.record(z.string(), z.number()) });
const login = { user: 'watch', password: 'right one' };
const loginSettings = {
  STRIKEWELL_MQTT_USERNAME: login.user,
  STRIKEWELL_MQTT_PASSWORD: login.password,
};

async function mosquittoFor(options: MosquittoOptions = {}): Promise<Mosquitto> {
  const mosquitto = await startMosquitto(options);
  onTestFinished(() => mosquitto.close());
  return mosquitto;
}

async function daemonAt(url: string, settings: Readonly<Record<string, string>> = {}): Promise<Daemon> {
  const daemon = await startDaemon({ settings: { STRIKEWELL_MQTT_URL: url, ...settings } });
  onTestFinished(() => daemon.close());
  return daemon;
}

async function isConnected(daemon: Daemon): Promise<boolean> {
  return (await daemon.read('/api/v1/house', houseSchema)).broker.connected;
}

async function untilJoined(daemon: Daemon): Promise<void> {
  const joined = async () => ((await isConnected(daemon)) ? true : null);
  await until(joined, { what: 'joined broker', withinMs: 20_000 });
}

async function untilLost(daemon: Daemon): Promise<void> {
  const lost = async () => ((await isConnected(daemon)) ? null : true);
  await until(lost, { what: 'lost broker', withinMs: 20_000 });
}

function recordOf(daemon: Daemon): RecordFile {
  const record = openRecord(daemon.dataDir);
  onTestFinished(() => record.close());
  return record;
}

/** Publishes as many packs of one air temperature, a minute apart, each acknowledged by the broker. */
async function publishAir(broker: BrokerAddress, packs: { device: string; fromS: number; count: number }) {
  const publisher = await connectPublisher(broker);
  for (let k = 0; k < packs.count; k += 1) {
    const payload = airPack({ atS: packs.fromS + 60 * k, valueC: 20 + k / 10 });
    await publisher.publish({ topic: readingsTopic(packs.device), payload });
  }
  await publisher.close();
}

describe.each(['3.1.1', '5'])('MQTT %s', (version) => {
  const settings = { STRIKEWELL_MQTT_VERSION: version };

  test('of 2 retained packs, the one with an absolute time is stored once over 2 joins, the other is refused', async () => {
    const mosquitto = await mosquittoFor();
    const publisher = await connectPublisher(mosquitto);
    const retain = true;
    const [kept, undated] = [readingsTopic('bench-kept'), readingsTopic('bench-undated')];
    const payload = '[{"n":"air/temperature","u":"Cel","v":20}]';
    await publisher.publish({ topic: kept, payload: airPack({ atS: 0, valueC: 20 }), retain });
    await publisher.publish({ topic: undated, payload, retain });
    const daemon = await daemonAt(mosquitto.url, settings);
    const refused = async () => (await daemon.read('/api/v1/refused', refusedSchema)).byCode;
    const some = async () => ((await refused())['retained-without-time'] ?? 0) > 0 || null;
    await until(some, { what: 'refusal', withinMs: 10_000 });
    const record = recordOf(daemon);
    await untilStored(record, { device: 'bench-kept', count: 1 });
    await daemon.stop();
    await daemon.start();
    await untilJoined(daemon);
    // The subscription is renewed at once, and a pack published now comes after what it brings.
    await publisher.publish({ topic: undated, payload: airPack({ atS: 0, valueC: 21 }) });
    await untilStored(record, { device: 'bench-undated', count: 1 });
    await publisher.close();
    expect(record.readings('bench-kept')).toMatchObject([{ value: 20 }]);
    expect(record.readings('bench-undated')).toMatchObject([{ value: 21 }]);
    // MQTT 3.1.1 gives retained messages with every subscription, MQTT 5 can ask for them with the first only.
    expect(await refused()).toEqual({ 'retained-without-time': version === '5' ? 1 : 2 });
  });

  test('a broker restarted without its sessions is joined again, and 3 packs published then arrive', async () => {
    const mosquitto = await mosquittoFor({ persistence: false });
    const daemon = await daemonAt(mosquitto.url, settings);
    await untilJoined(daemon);
    await mosquitto.stop();
    await untilLost(daemon);
    expect(await daemon.get('/healthz')).toEqual({ status: 200, body: { status: 'running' } });
    const away = { status: 'not-ready', reasons: ['broker-away'] };
    expect(await daemon.get('/readyz')).toEqual({ status: 503, body: away });
    await mosquitto.start();
    await untilJoined(daemon);
    expect(await daemon.get('/readyz')).toEqual({ status: 200, body: { status: 'ready' } });
    await untilArrived(mosquitto, daemon);
    const record = recordOf(daemon);
    await publishAir(mosquitto, { device: 'bench-after', fromS: 0, count: 3 });
    await untilStored(record, { device: 'bench-after', count: 3 });
  });

  test('50 packs published while the daemon was away, and a broker restart with them, are stored when it returns', async () => {
    const mosquitto = await mosquittoFor({ persistence: true });
    const daemon = await daemonAt(mosquitto.url, settings);
    await untilJoined(daemon);
    await publishAir(mosquitto, { device: 'bench-away', fromS: 0, count: 1 });
    const record = recordOf(daemon);
    await untilStored(record, { device: 'bench-away', count: 1 });
    record.close();
    await daemon.kill();
    await publishAir(mosquitto, { device: 'bench-away', fromS: 60, count: 50 });
    await mosquitto.stop();
    await mosquitto.start();
    await daemon.start();
    const after = recordOf(daemon);
    await untilStored(after, { device: 'bench-away', count: 51 });
    expect(after.count('bench-away')).toBe(51);
  });

  test('a broker that is down at the start is joined when it comes, and 1 pack arrives', async () => {
    const mosquitto = await mosquittoFor();
    await mosquitto.stop();
    const daemon = await daemonAt(mosquitto.url, settings);
    expect(await isConnected(daemon)).toBe(false);
    await mosquitto.start();
    await untilJoined(daemon);
    await untilArrived(mosquitto, daemon);
  });

  test('a refused login is survived, and 1 pack arrives once the broker’s password file is corrected', async () => {
    const mosquitto = await mosquittoFor({ login: { ...login, password: 'another one' } });
    const daemon = await daemonAt(mosquitto.url, { ...settings, ...loginSettings });
    const refusals = () => mosquitto.log().split('not authorised').length - 1;
    const said = () => daemon.stderr().match(/Not authorized|Bad .*password/gi);
    await until(said, { what: 'line about the refused login', withinMs: 20_000 });
    // two clients try, and each tries again
    await until(() => (refusals() >= 4 ? true : null), { what: '4th refused login', withinMs: 20_000 });
    expect(said()).toHaveLength(1);
    expect(await isConnected(daemon)).toBe(false);
    expect((await daemon.get('/healthz')).status).toBe(200);
    await mosquitto.changeLogin(login);
    await untilJoined(daemon);
    await untilArrived({ url: mosquitto.url, login }, daemon);
    expect(daemon.stderr()).not.toContain(login.password);
  });

  test('a broker with TLS, a certificate of its owner’s authority and a login is joined, and 1 pack arrives', async () => {
    const mosquitto = await mosquittoFor({ tls: true, login });
    expect(mosquitto.url).toMatch(/^mqtts:/);
    const trust = { STRIKEWELL_MQTT_CA_FILE: mosquitto.caFile ?? '' };
    const daemon = await daemonAt(mosquitto.url, { ...settings, ...loginSettings, ...trust });
    await untilJoined(daemon);
    await untilArrived({ url: mosquitto.url, caFile: mosquitto.caFile, login }, daemon);
  });
});

async function untilArrived(broker: BrokerAddress, daemon: Daemon): Promise<void> {
  await untilReceived({ broker, record: recordOf(daemon), device: 'bench-1' });
}

test('a broker whose certificate nobody vouches for is not joined, and the daemon says so and runs on', async () => {
  const mosquitto = await mosquittoFor({ tls: true });
  const daemon = await daemonAt(mosquitto.url);
  const said = () => (/certificate/.test(daemon.stderr()) ? true : null);
  await until(said, { what: 'word of the certificate', withinMs: 10_000 });
  expect(await isConnected(daemon)).toBe(false);
  expect((await daemon.get('/healthz')).status).toBe(200);
});

test('a broker that speaks MQTT 3.1.1 only is joined with it when MQTT 5 is refused, and 1 pack arrives', async () => {
  const older = await Aedes.createBroker();
  const port = await freePort();
  const server = createServer(older.handle).listen({ port, host: '127.0.0.1' });
  await once(server, 'listening');
  onTestFinished(() => new Promise((resolve) => older.close(() => server.close(() => resolve()))));
  const url = `mqtt://127.0.0.1:${port}`;
  const daemon = await daemonAt(url, { STRIKEWELL_MQTT_VERSION: '5' });
  await untilJoined(daemon);
  await untilArrived({ url }, daemon);
});

/** A broker that froze before it acknowledged what the daemon published of an alarm. */
async function frozenWithAlarmUnacknowledged() {
  const mosquitto = await mosquittoFor();
  const daemon = await daemonAt(mosquitto.url);
  await untilJoined(daemon);
  const hot = (t: number) => ({ n: 'air/temperature', u: 'Cel', v: 40, t });
  const publisher = await connectPublisher(mosquitto);
  const payload = JSON.stringify([hot(-90), hot(0)]);
  await publisher.publish({ topic: readingsTopic('bench-hot'), payload });
  await publisher.close();
  const alarm = '/api/v1/alarms/bench-hot.air-over-ceiling';
  const raised = async () => ((await daemon.get(`${alarm}/events`)).status === 200 ? true : null);
  await until(raised, { what: 'alarm', withinMs: 5_000 });
  const thaw = mosquitto.freeze();
  onTestFinished(thaw);
  expect((await daemon.post(`${alarm}/acknowledge`)).status).toBe(200);
  return { mosquitto, daemon };
}

async function secondsToStop(daemon: Daemon): Promise<number> {
  const askedMs = performance.now();
  expect(await daemon.stop()).toEqual({ code: 0, signal: null });
  return (performance.now() - askedMs) / 1000;
}

test('while its broker is frozen, the daemon ends in good order within 5 s of its signal', async () => {
  const { daemon } = await frozenWithAlarmUnacknowledged();
  expect(await secondsToStop(daemon)).toBeLessThan(5);
});

test('while its broker is away, the daemon ends in good order within 5 s of its signal', async () => {
  const { daemon, mosquitto } = await frozenWithAlarmUnacknowledged();
  await mosquitto.kill();
  await untilLost(daemon);
  expect(await secondsToStop(daemon)).toBeLessThan(5);
});
