import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { connectAsync, type MqttClient } from 'mqtt';
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { askAs, listenLive, outerAddress, runOwner } from '../support/access.ts';
import { runCommand } from '../support/command.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { temporaryFolder } from '../support/folders.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { until } from '../support/wait.ts';

const FIRST = 'first words of the owner';
const SECOND = 'second words of the owner';
const pack = () => packOf([{ probe: 'air/temperature', unit: 'Cel', value: 21.4, atMs: Date.now() }]);

/** Everything that must be said nowhere, collected as it is made. */
const secrets: string[] = [FIRST, SECOND];

test('0.0.0.0 without an owner password is refused with exit code 2 and bad-setting’s words', async () => {
  const settings = { STRIKEWELL_DATA_DIR: temporaryFolder('data'), STRIKEWELL_HOST: '0.0.0.0' };
  const { code, stderr } = await runCommand(['serve'], settings);
  expect(code).toBe(2);
  expect(stderr).toContain('STRIKEWELL_HOST is "0.0.0.0": expected a loopback address');
  expect(stderr).toContain('strikewell owner');
});

describe('strikewell owner', () => {
  test('refuses 5 characters, and words on its command line without repeating them, with exit code 2', async () => {
    const dataDir = temporaryFolder('data');
    expect(await runOwner(dataDir, 'short')).toMatchObject({ code: 2, stdout: '' });
    const given = await runCommand(['owner', 'written on the line'], { STRIKEWELL_DATA_DIR: dataDir });
    expect(given).toMatchObject({ code: 2, stdout: '' });
    expect(given.stderr).not.toContain('written on the line');
  });
});

describe('on an address that others reach, with an owner password', () => {
  let daemon: Daemon;
  let dataDir: string;
  let [base, live, mqttUrl, cookie, login] = ['', '', '', '', { user: '', password: '' }] as [
    string,
    string,
    string,
    string,
    { user: string; password: string },
  ];
  const signIn = (password: string) =>
    askAs(`${base}/api/v1/access/sign-in`, { method: 'POST', body: { name: 'owner', password } });

  beforeAll(async () => {
    dataDir = temporaryFolder('data');
    expect(await runOwner(dataDir, FIRST)).toMatchObject({ code: 0, stderr: '' });
    daemon = await startDaemon({
      settings: { STRIKEWELL_HOST: '0.0.0.0', STRIKEWELL_DATA_DIR: dataDir, STRIKEWELL_TIME_ZONE: 'UTC' },
    });
    base = `http://${outerAddress()}:${daemon.httpPort}`;
    live = `ws://${outerAddress()}:${daemon.httpPort}/live`;
    mqttUrl = `mqtt://${outerAddress()}:${daemon.mqttPort}`;
    cookie = (await signIn(FIRST)).cookie;
    secrets.push(cookie.split('=')[1] ?? '');
    const made = await askAs(`${base}/api/v1/access/device-login`, {
      method: 'PUT',
      cookie,
      body: { name: 'bench-devices' },
    });
    login = { user: 'bench-devices', password: (JSON.parse(made.text) as { secret: string }).secret };
    secrets.push(login.password);
  });
  afterAll(() => daemon.close());

  async function device(): Promise<MqttClient> {
    const client = await connectAsync(mqttUrl, {
      username: login.user,
      password: login.password,
      protocolVersion: 4 as const,
      reconnectPeriod: 0,
    });
    client.on('error', () => undefined);
    onTestFinished(() => void client.end(true));
    return client;
  }

  test('the interface answers 401 without a session and 200 with one; loopback is asked too', async () => {
    for (const address of [base, daemon.httpUrl]) {
      expect((await askAs(`${address}/api/v1/places`)).status).toBe(401);
      expect((await askAs(`${address}/api/v1/places`, { cookie })).status).toBe(200);
    }
    expect((await askAs(`${base}/healthz`)).status).toBe(200);
  });

  test('the websocket is refused with 403 without a session or from another site’s page, and sends with one', async () => {
    expect(await listenLive(live)).toBe(403);
    expect(await listenLive(live, { cookie: 'strikewell=AAAA' })).toBe(403);
    expect(await listenLive(live, { cookie, origin: 'http://elsewhere.example.org' })).toBe(403);
    const received = await listenLive(live, { cookie, origin: base });
    if (typeof received === 'number') throw new Error(`refused with ${received}`);
    expect(received.types[0]).toBe('snapshot');
    received.close();
  });

  test('a session that is ended from another closes its websocket with 4401 within 2 s', async () => {
    const other = await signIn(FIRST);
    const received = await listenLive(live, { cookie: other.cookie });
    if (typeof received === 'number') throw new Error(`refused with ${received}`);
    const { text } = await askAs(`${base}/api/v1/access/sessions`, { cookie: other.cookie });
    const { sessions } = JSON.parse(text) as { sessions: { id: number; own: boolean }[] };
    const id = sessions.find(({ own }) => own)?.id;
    await askAs(`${base}/api/v1/access/sessions/${id}`, { method: 'DELETE', cookie });
    const tooLate = new Promise((resolve) => setTimeout(() => resolve('still open'), 2_000));
    expect(await Promise.race([received.closed, tooLate])).toBe(4401);
  });

  // MQTT 3.1.1, table 3.1: 4 bad user name or password, 5 not authorized
  test.each([
    ['without a name', 5, {}],
    ['with a wrong secret', 4, { username: 'bench-devices', password: 'guessed' }],
    ['with the owner’s name and password', 4, { username: 'owner', password: FIRST }],
  ])('an MQTT client %s is refused with code %i', async (_how, code, given) => {
    const connecting = connectAsync(mqttUrl, { ...given, protocolVersion: 4, reconnectPeriod: 0 }, false);
    await expect(connecting).rejects.toMatchObject({ code });
  });

  test('a device with the login publishes readings, which wait until it is accepted, and then make a place', async () => {
    const sensor = await connectPublisher({ url: mqttUrl, login });
    await sensor.publish({ topic: readingsTopic('sill'), payload: pack() });
    await sensor.close();
    expect((await askAs(`${base}/api/v1/places`, { cookie })).text).not.toContain('"sill"');
    const accept = { method: 'POST', body: {} };
    const refused = await askAs(`${base}/api/v1/waiting/sill/accept`, accept);
    expect(refused.status).toBe(401);
    const accepted = await askAs(`${base}/api/v1/waiting/sill/accept`, { ...accept, cookie });
    expect(accepted.status).toBe(200);
    expect(JSON.parse(accepted.text)).toMatchObject({ device: 'sill', stored: 1, refused: 0, dropped: 0 });
    const answer = async () => {
      const { text } = await askAs(`${base}/api/v1/places`, { cookie });
      return text.includes('"sill"') || null;
    };
    await until(answer, { what: 'place of the device', withinMs: 5_000 });
  });

  test.each(['strikewell/1/alarms/sill.no-data', 'strikewell/1/watch/heartbeat', 'somewhere/else'])(
    'a device with the login that publishes on %s is cut off',
    async (topic) => {
      const client = await device();
      const gone = new Promise((resolve) => client.once('close', () => resolve('cut off')));
      client.publish(topic, '{}', { qos: 1 });
      const tooLate = new Promise((resolve) => setTimeout(() => resolve('still there'), 3_000));
      expect(await Promise.race([gone, tooLate])).toBe('cut off');
    },
  );

  test('a device with the login receives alarms and the heartbeat, and nothing of other devices (128)', async () => {
    const client = await device();
    const granted = async (filter: string) => {
      // MQTT 3.1.1, 3.9.3: 128 is a failure
      const { promise, resolve } = Promise.withResolvers<number>();
      client.subscribe(filter, { qos: 1 }, (_error, grants, packet) =>
        resolve(Number(packet?.granted[0] ?? grants?.[0]?.qos)),
      );
      return promise;
    };
    expect(await granted('strikewell/1/alarms/#')).toBe(1);
    expect(await granted('strikewell/1/watch/heartbeat')).toBe(1);
    for (const filter of ['#', 'strikewell/1/+/readings', 'strikewell/#'])
      expect(await granted(filter)).toBe(128);
  });

  test('a new secret cuts off who came with the old one within 2 s', async () => {
    const client = await device();
    const gone = new Promise((resolve) => client.once('close', () => resolve('cut off')));
    const made = await askAs(`${base}/api/v1/access/device-login`, {
      method: 'PUT',
      cookie,
      body: { name: 'bench-devices' },
    });
    const tooLate = new Promise((resolve) => setTimeout(() => resolve('still there'), 2_000));
    expect(await Promise.race([gone, tooLate])).toBe('cut off');
    await expect(connectPublisher({ url: mqttUrl, login })).rejects.toMatchObject({ code: 4 });
    login = { user: 'bench-devices', password: (JSON.parse(made.text) as { secret: string }).secret };
    secrets.push(login.password);
    expect((await device()).connected).toBe(true);
  });

  test('strikewell owner beside the running daemon sets a new password and ends the owner’s sessions', async () => {
    const received = await listenLive(live, { cookie });
    if (typeof received === 'number') throw new Error(`refused with ${received}`);
    expect(await runOwner(dataDir, SECOND)).toMatchObject({
      code: 0,
      stdout: expect.stringContaining('reset'),
    });
    expect((await askAs(`${base}/api/v1/places`, { cookie })).status).toBe(401);
    expect((await signIn(FIRST)).status).toBe(401);
    const again = await signIn(SECOND);
    expect(again.status).toBe(200);
    cookie = again.cookie;
    secrets.push(cookie.split('=')[1] ?? '');
    // every beat, 10 s, it is looked again at who listens
    const tooLate = new Promise((resolve) => setTimeout(() => resolve('still open'), 12_000));
    expect(await Promise.race([received.closed, tooLate])).toBe(4401);
  });

  test('no password, secret or session id stands in any output: page, exports, doctor, log, or the record itself', async () => {
    const ask = (path: string) => askAs(`${base}${path}`, { cookie }).then(({ text }) => text);
    const texts = await Promise.all(
      [
        '/',
        '/api/v1/openapi.json',
        '/api/v1/house',
        '/api/v1/refused',
        '/api/v1/probes',
        '/api/v1/access',
        '/api/v1/access/accounts',
        '/api/v1/access/sessions',
        '/api/v1/access/device-login',
        '/api/v1/backups',
        '/api/v1/alarms',
        ...['csv', 'ndjson', 'senml'].map((as) => `/api/v1/places/sill/export?as=${as}`),
        '/api/v1/places/sill/export?what=alarms',
      ].map(ask),
    );
    const doctor = await runCommand(['doctor', '--json'], { STRIKEWELL_DATA_DIR: dataDir });
    const files = ['strikewell.db', 'strikewell.db-wal'].map((name) =>
      readFileSync(join(dataDir, name)).toString('latin1'),
    );
    const all = [...texts, doctor.stdout, doctor.stderr, daemon.stdout(), daemon.stderr(), ...files];
    expect(secrets.length).toBe(6);
    for (const secret of secrets) {
      expect(secret.length).toBeGreaterThan(20);
      expect(all.filter((text) => text.includes(secret))).toEqual([]);
    }
    // what is kept of a password is shown to nobody either
    expect([...texts, doctor.stdout, daemon.stdout(), daemon.stderr()].join('')).not.toContain('scrypt$');
  });
});
