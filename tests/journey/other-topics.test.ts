import { once } from 'node:events';
import { createServer, type Socket } from 'node:net';
import { Aedes } from 'aedes';
import { describe, expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { untilStored } from '../contract/passage.ts';
import { askAs } from '../support/access.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { type BrokerAddress, connectPublisher } from '../support/mqttPublisher.ts';
import { freePort } from '../support/ports.ts';
import { openRecord, type RecordFile } from '../support/record.ts';
import { until } from '../support/wait.ts';

const TOPIC = 'house/east/climate';
const MAPPING = {
  filter: 'house/+/climate',
  device: { kind: 'level', level: 2 },
  placeId: null,
  time: { kind: 'pointer', pointer: '/at', as: 's' },
  values: [{ pointer: '/t', probe: 'air/temperature', unit: 'Cel' }],
};
/** Whole seconds an hour ago. */
const START_S = Math.floor(Date.now() / 1000) - 3_600;

const capturedSchema = z.object({
  messages: z.array(z.looseObject({ topic: z.string(), json: z.unknown() })),
});
const idSchema = z.looseObject({ id: z.number() });
const brokerSchema = z.object({ broker: z.object({ connected: z.boolean() }) });

async function openDaemon(settings: Readonly<Record<string, string>>): Promise<Daemon> {
  const daemon = await startDaemon({ settings });
  onTestFinished(() => daemon.close());
  return daemon;
}

function recordOf({ dataDir }: Daemon): RecordFile {
  const record = openRecord(dataDir);
  onTestFinished(() => record.close());
  return record;
}

/** Publishes temperatures a minute apart, each acknowledged by the broker. */
async function publish(broker: BrokerAddress, readings: { fromS: number; values: readonly number[] }) {
  const publisher = await connectPublisher(broker);
  for (const [index, t] of readings.values.entries()) {
    const payload = JSON.stringify({ t, at: readings.fromS + 60 * index });
    await publisher.publish({ topic: TOPIC, payload });
  }
  await publisher.close();
}

const untilConnected = (daemon: Daemon, connected: boolean) =>
  until(
    async () =>
      (await daemon.read('/api/v1/house', brokerSchema)).broker.connected === connected ? true : null,
    { what: `broker connected: ${connected}`, withinMs: 20_000 },
  );

async function addMapping(daemon: Daemon): Promise<number> {
  const { status, body } = await daemon.post('/api/v1/mappings', MAPPING);
  expect(status).toBe(201);
  return idSchema.parse(body).id;
}

describe.each(['3.1.1', '5'])('at Mosquitto by MQTT %s', (version) => {
  test('a mapped topic is subscribed at once; what is sent while the daemon is away arrives, once; sent again it stays once', async () => {
    const mosquitto = await startMosquitto();
    onTestFinished(() => mosquitto.close());
    const daemon = await openDaemon({
      STRIKEWELL_MQTT_URL: mosquitto.url,
      STRIKEWELL_MQTT_VERSION: version,
    });
    await untilConnected(daemon, true);
    await addMapping(daemon);
    const record = recordOf(daemon);
    // the subscription may take a moment to be granted
    await until(
      async () => {
        await publish(mosquitto, { fromS: START_S, values: [20] });
        return record.count('east') > 0 ? true : null;
      },
      { what: 'first reading', withinMs: 10_000, everyMs: 100 },
    );
    await daemon.stop();
    await publish(mosquitto, { fromS: START_S + 60, values: [21, 22, 23] });
    await daemon.start();
    await untilStored(record, { device: 'east', count: 4 });
    await publish(mosquitto, { fromS: START_S, values: [20, 21, 22, 23, 24] });
    await untilStored(record, { device: 'east', count: 5 });
    expect(record.readings('east').map(({ value }) => value)).toEqual([20, 21, 22, 23, 24]);
    expect(record.twice()).toBe(0);
  });

  test('it listens to another topic beside its own session, retained copies too, and stores nothing of it', async () => {
    const mosquitto = await startMosquitto();
    onTestFinished(() => mosquitto.close());
    const daemon = await openDaemon({
      STRIKEWELL_MQTT_URL: mosquitto.url,
      STRIKEWELL_MQTT_VERSION: version,
    });
    const publisher = await connectPublisher(mosquitto);
    await publisher.publish({ topic: 'shed/kept', payload: '21.5', retain: true });
    expect((await daemon.post('/api/v1/mappings/listen', { filter: 'shed/#' })).status).toBe(200);
    await publisher.publish({ topic: 'shed/new', payload: '{"t":1}' });
    const { messages } = await until(
      async () => {
        const received = await daemon.read('/api/v1/mappings/listen', capturedSchema);
        return received.messages.length === 2 ? received : null;
      },
      { what: '2 messages', withinMs: 5_000 },
    );
    expect(messages).toMatchObject([
      { topic: 'shed/kept', retained: true, json: 21.5 },
      { topic: 'shed/new', retained: false, json: { t: 1 } },
    ]);
    expect(recordOf(daemon).readings()).toEqual([]);
    await publisher.close();
  });
});

test('a removed topic is unsubscribed, also when it was removed while the broker was away and the daemon began again', async () => {
  const aedes = await Aedes.createBroker();
  const said: string[] = [];
  aedes.on('subscribe', (subscriptions) => said.push(...subscriptions.map(({ topic }) => `+ ${topic}`)));
  aedes.on('unsubscribe', (topics) => said.push(...topics.map((topic) => `- ${topic}`)));
  const sockets = new Set<Socket>();
  const port = await freePort();
  const open = async () => {
    const server = createServer((socket) => {
      sockets.add(socket);
      aedes.handle(socket);
    }).listen(port, '127.0.0.1');
    await once(server, 'listening');
    return server;
  };
  let server = await open();
  onTestFinished(() => {
    for (const socket of sockets) socket.destroy();
    server.close();
    aedes.close();
  });
  const daemon = await openDaemon({
    STRIKEWELL_MQTT_URL: `mqtt://127.0.0.1:${port}`,
    STRIKEWELL_MQTT_VERSION: '3.1.1',
  });
  await untilConnected(daemon, true);
  const untilSaid = (line: string, count: number) =>
    until(() => (said.filter((one) => one === line).length >= count ? true : null), {
      what: `${count} of ${line} among ${said.join(', ')}`,
      withinMs: 15_000,
    });
  const id = await addMapping(daemon);
  await untilSaid('+ house/+/climate', 1);
  expect((await fetch(`${daemon.httpUrl}/api/v1/mappings/${id}`, { method: 'DELETE' })).status).toBe(204);
  await untilSaid('- house/+/climate', 1);

  const again = await addMapping(daemon);
  await untilSaid('+ house/+/climate', 2);
  server.close();
  for (const socket of sockets) socket.destroy();
  await untilConnected(daemon, false);
  expect((await fetch(`${daemon.httpUrl}/api/v1/mappings/${again}`, { method: 'DELETE' })).status).toBe(204);
  await daemon.stop();
  server = await open();
  await daemon.start();
  await untilSaid('- house/+/climate', 2);
});

test('where an owner password is set, the login of devices may publish on mapped topics, on those that are listened to, and on no other; who tends may watch but not listen', async () => {
  const daemon = await openDaemon({});
  const url = `${daemon.httpUrl}/api/v1`;
  const password = 'mist on the third bench';
  const owner = await askAs(`${url}/access/owner`, { method: 'PUT', body: { password } });
  const own = { cookie: owner.cookie };
  const login = await askAs(`${url}/access/device-login`, {
    method: 'PUT',
    body: { name: 'devices' },
    ...own,
  });
  const { secret } = z.object({ secret: z.string() }).parse(JSON.parse(login.text));
  const broker = { url: daemon.mqttUrl, login: { user: 'devices', password: secret } };
  const reading = { fromS: START_S, values: [20] };

  // MQTT 3.1.1 has no refusal of a message: the connection is closed instead (section 3.3.5)
  await expect(publish(broker, reading)).rejects.toThrow(/lost/);
  const listening = { method: 'POST', body: { filter: 'house/#' } };
  expect((await askAs(`${url}/mappings/listen`, { ...listening, ...own })).status).toBe(200);
  await publish(broker, reading);
  await askAs(`${url}/mappings/listen`, { method: 'DELETE', ...own });
  await expect(publish(broker, reading)).rejects.toThrow(/lost/);
  const record = recordOf(daemon);
  expect(record.readings()).toEqual([]);
  expect((await askAs(`${url}/mappings`, { method: 'POST', body: MAPPING, ...own })).status).toBe(201);
  await publish(broker, reading);
  // a device that nobody accepted waits
  expect(record.count('east')).toBe(0);
  const accept = { method: 'POST', body: {}, ...own };
  expect((await askAs(`${url}/waiting/east/accept`, accept)).status).toBe(200);
  expect(record.count('east')).toBe(1);
  await expect(publish({ url: daemon.mqttUrl }, reading)).rejects.toThrow();

  const account = { name: 'tender', role: 'tend', password };
  expect((await askAs(`${url}/access/accounts`, { method: 'POST', body: account, ...own })).status).toBe(201);
  const { cookie } = await askAs(`${url}/access/sign-in`, {
    method: 'POST',
    body: { name: 'tender', password },
  });
  expect((await askAs(`${url}/watch`, { method: 'POST', cookie })).status).toBe(200);
  for (const path of ['/mappings', '/mappings/listen']) {
    expect((await askAs(url + path, { cookie })).status).toBe(403);
    expect((await askAs(url + path, { method: 'POST', body: {}, cookie })).status).toBe(403);
  }
  expect((await askAs(`${url}/watch`)).status).toBe(401);
});
