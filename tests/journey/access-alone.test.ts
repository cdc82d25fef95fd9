import { readdirSync, readFileSync } from 'node:fs';
import { request } from 'node:https';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { askAs, runOwner } from '../support/access.ts';
import { makeCertificates } from '../support/certificates.ts';
import { startChild } from '../support/child.ts';
import { LAUNCHER, runCommand } from '../support/command.ts';
import { startDaemon } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { temporaryFolder } from '../support/folders.ts';
import { freePort } from '../support/ports.ts';
import { until } from '../support/wait.ts';

const FIRST = 'first words of the owner';

test('a restored backup keeps the password of its day and signs everybody out', async () => {
  const dataDir = temporaryFolder('data');
  await runOwner(dataDir, FIRST);
  const daemon = await startDaemon({ settings: { STRIKEWELL_DATA_DIR: dataDir } });
  onTestFinished(() => daemon.close());
  const body = { name: 'owner', password: FIRST };
  const signIn = () => askAs(`${daemon.httpUrl}/api/v1/access/sign-in`, { method: 'POST', body });
  const places = (cookie: string) => askAs(`${daemon.httpUrl}/api/v1/places`, { cookie });
  const { cookie } = await signIn();
  const settings = { STRIKEWELL_DATA_DIR: dataDir };
  expect((await runCommand(['backup'], settings)).code).toBe(0);
  expect((await places(cookie)).status).toBe(200);
  await daemon.stop();
  const [backup = ''] = readdirSync(join(dataDir, 'backups')).filter((name) => name.endsWith('.db'));
  const restored = await runCommand(['restore', join(dataDir, 'backups', backup), '--overwrite'], settings);
  expect(restored.code).toBe(0);
  await daemon.start();
  expect((await places(cookie)).status).toBe(401);
  expect((await places((await signIn()).cookie)).status).toBe(200);
});

test('the demo goes on with an owner password: its devices log in by themselves', async () => {
  const dataDir = temporaryFolder('data');
  await runOwner(dataDir, FIRST);
  const demo = await startDaemon({ settings: { STRIKEWELL_DATA_DIR: dataDir }, command: 'demo' });
  onTestFinished(() => demo.close());
  const body = { name: 'owner', password: FIRST };
  const { cookie } = await askAs(`${demo.httpUrl}/api/v1/access/sign-in`, { method: 'POST', body });
  const received = async () => {
    const { text } = await askAs(`${demo.httpUrl}/api/v1/house`, { cookie });
    const house = JSON.parse(text) as {
      readings: { received: number };
      demo: { progressPct: number | null };
    };
    return house.demo.progressPct === null && house.readings.received > 0 ? house.readings.received : null;
  };
  const wait = { what: 'live demo', withinMs: 60_000, everyMs: 500 };
  expect(await until(received, wait).catch(() => demo.stderr())).toBeGreaterThan(0);
  expect(demo.stderr()).not.toContain('refused');
});

test('with a certificate the page comes over https, and its cookie is Secure and of this host alone', async () => {
  const dataDir = temporaryFolder('data');
  await runOwner(dataDir, FIRST);
  const { caFile, certFile, keyFile } = await makeCertificates(temporaryFolder('tls'));
  const [port, mqttPort, mqttsPort] = [await freePort(), await freePort(), await freePort()];
  const child = startChild({
    command: process.execPath,
    args: [LAUNCHER, 'serve'],
    env: plainEnvironment({
      STRIKEWELL_DATA_DIR: dataDir,
      STRIKEWELL_HTTP_PORT: String(port),
      STRIKEWELL_MQTT_PORT: String(mqttPort),
      STRIKEWELL_MQTTS_PORT: String(mqttsPort),
      STRIKEWELL_TLS_CERT: certFile,
      STRIKEWELL_TLS_KEY: keyFile,
    }),
  });
  onTestFinished(() => child.end('SIGTERM').then(() => undefined));
  const ca = readFileSync(caFile);
  const signIn = async () => {
    const { promise, resolve, reject } = Promise.withResolvers<string[]>();
    const sent = request(
      {
        host: '127.0.0.1',
        port,
        ca,
        method: 'POST',
        path: '/api/v1/access/sign-in',
        headers: { 'content-type': 'application/json', origin: `https://127.0.0.1:${port}` },
      },
      (reply) => {
        reply.resume();
        resolve(reply.headers['set-cookie'] ?? []);
      },
    );
    sent.once('error', reject).end(JSON.stringify({ name: 'owner', password: FIRST }));
    return promise;
  };
  const [set = ''] = await until(signIn, { what: 'page over https', withinMs: 20_000 });
  expect(set).toMatch(
    /^__Host-strikewell=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict; Max-Age=\d+; Secure$/,
  );
  expect(child.stdout()).toContain(`https://127.0.0.1:${port}/`);
});

test('a certificate file that is none is refused with exit code 2', async () => {
  const { certFile } = await makeCertificates(temporaryFolder('tls'));
  const settings = {
    STRIKEWELL_DATA_DIR: temporaryFolder('data'),
    STRIKEWELL_HTTP_PORT: String(await freePort()),
    STRIKEWELL_TLS_CERT: certFile,
    STRIKEWELL_TLS_KEY: certFile,
  };
  const { code, stderr } = await runCommand(['serve'], settings);
  expect(code).toBe(2);
  expect(stderr).toContain('STRIKEWELL_TLS_CERT and STRIKEWELL_TLS_KEY cannot be used');
});
