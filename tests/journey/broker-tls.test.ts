import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { connect, createServer } from 'node:net';
import { connect as connectTls } from 'node:tls';
import { connectAsync } from 'mqtt';
import { expect, onTestFinished, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { makeCertificates } from '../support/certificates.ts';
import { startChild } from '../support/child.ts';
import { LAUNCHER, runCommand } from '../support/command.ts';
import { plainEnvironment } from '../support/environment.ts';
import { temporaryFolder } from '../support/folders.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { freePort, isListening } from '../support/ports.ts';
import { until } from '../support/wait.ts';

async function settingsWith(more: Readonly<Record<string, string>> = {}) {
  const certificates = await makeCertificates(temporaryFolder('tls'));
  const [http, mqtt, mqtts] = [await freePort(), await freePort(), await freePort()];
  const settings = {
    STRIKEWELL_DATA_DIR: temporaryFolder('data'),
    STRIKEWELL_HTTP_PORT: String(http),
    STRIKEWELL_MQTT_PORT: String(mqtt),
    STRIKEWELL_MQTTS_PORT: String(mqtts),
    STRIKEWELL_TLS_CERT: certificates.certFile,
    STRIKEWELL_TLS_KEY: certificates.keyFile,
    ...more,
  };
  return { ...certificates, mqtt, mqtts, settings };
}

async function serving(more: Readonly<Record<string, string>> = {}, command: 'serve' | 'demo' = 'serve') {
  const { settings, ...made } = await settingsWith(more);
  const args = [LAUNCHER, command];
  const child = startChild({ command: process.execPath, args, env: plainEnvironment(settings) });
  onTestFinished(() => child.end('SIGTERM').then(() => undefined));
  const up = async () => (child.stdout().includes('Strikewell watches') ? true : null);
  await until(up, { what: 'daemon with a certificate', withinMs: 20_000 });
  return { ...made, settings, child };
}

const payload = () => packOf([{ probe: 'air/temperature', unit: 'Cel', value: 21.4, atMs: Date.now() }]);

test('with a certificate the embedded broker takes readings over mqtts and over the plain port beside it', async () => {
  const { mqtt, mqtts, caFile, child } = await serving();
  for (const broker of [{ url: `mqtts://127.0.0.1:${mqtts}`, caFile }, { url: `mqtt://127.0.0.1:${mqtt}` }]) {
    const sensor = await connectPublisher(broker);
    await sensor.publish({ topic: readingsTopic('sill'), payload: payload() });
    await sensor.close();
  }
  expect(child.stdout()).toContain(`mqtts://127.0.0.1:${mqtts}`);
});

test('a client that does not know the authority refuses the broker, and one that speaks plainly gets no answer', async () => {
  const { mqtts, child } = await serving();
  const url = `127.0.0.1:${mqtts}`;
  const options = { protocolVersion: 4, reconnectPeriod: 0, connectTimeout: 2_000 } as const;
  await expect(connectAsync(`mqtts://${url}`, options, false)).rejects.toThrow(/certificate/);
  await expect(connectAsync(`mqtt://${url}`, options, false)).rejects.toThrow();
  expect(child.hasEnded()).toBe(false);
});

test('TLS 1.1 is refused, 1.2 is accepted', async () => {
  const { mqtts, caFile } = await serving();
  const spoken = (version: 'TLSv1.1' | 'TLSv1.2') => {
    const { promise, resolve } = Promise.withResolvers<string>();
    const ca = readFileSync(caFile);
    const ciphers = 'DEFAULT@SECLEVEL=0';
    const socket = connectTls(
      { host: '127.0.0.1', port: mqtts, ca, minVersion: version, maxVersion: version, ciphers },
      () => resolve(socket.getProtocol() ?? 'none'),
    );
    socket.on('error', () => resolve('refused'));
    onTestFinished(() => void socket.destroy());
    return promise;
  };
  expect([await spoken('TLSv1.1'), await spoken('TLSv1.2')]).toEqual(['refused', 'TLSv1.2']);
});

test('with STRIKEWELL_MQTTS_PORT off the page is encrypted and the broker listens on its plain port alone', async () => {
  const { mqtt, mqtts } = await serving({ STRIKEWELL_MQTTS_PORT: 'off' });
  expect([await isListening(mqtt), await isListening(mqtts)]).toEqual([true, false]);
});

test('with STRIKEWELL_MQTT_PORT off the broker takes readings encrypted only, the demo runs over it, and check listens', async () => {
  const { mqtts, caFile, child, settings } = await serving({ STRIKEWELL_MQTT_PORT: 'off' }, 'demo');
  const sensor = await connectPublisher({ url: `mqtts://127.0.0.1:${mqtts}`, caFile });
  await sensor.publish({ topic: readingsTopic('sill'), payload: payload() });
  await sensor.close();
  expect(child.stdout()).toContain(`Broker: mqtts://127.0.0.1:${mqtts}  Days`);
  const listening = runCommand(['check', '--listen', '30'], settings);
  const silent = connect(mqtts, '127.0.0.1');
  const ended = new Promise((resolve) => silent.once('close', resolve));
  // the demo's devices report every 10 s and more often
  expect((await listening).stdout).toContain('readings');
  // one that never begins its handshake is ended as well
  await ended;
  expect(child.hasEnded()).toBe(false);
}, 120_000);

test.each([
  ['without a certificate', {}, 'there is no encrypted one'],
  [
    'with both ports off',
    { tls: true, STRIKEWELL_MQTTS_PORT: 'off' },
    'STRIKEWELL_MQTTS_PORT is off as well',
  ],
])(
  'STRIKEWELL_MQTT_PORT off %s stops the start with exit code 2 and one message',
  async (_, { tls, ...more }: { tls?: boolean }, said) => {
    const plain = { STRIKEWELL_DATA_DIR: temporaryFolder('data') };
    const given = tls ? (await settingsWith()).settings : plain;
    const { code, stderr } = await runCommand(['serve'], { ...given, ...more, STRIKEWELL_MQTT_PORT: 'off' });
    expect(code).toBe(2);
    expect(stderr).toContain('STRIKEWELL_MQTT_PORT is "off"');
    expect(stderr).toContain(said);
    expect(stderr.trim().split('\n')).toHaveLength(1);
  },
);

test('a busy STRIKEWELL_MQTTS_PORT stops the start with exit code 2 and the name of the key', async () => {
  const { settings, mqtts } = await settingsWith();
  const other = createServer().listen(mqtts, '127.0.0.1');
  onTestFinished(() => void other.close());
  await once(other, 'listening');
  const { code, stderr } = await runCommand(['serve'], settings);
  expect(code).toBe(2);
  expect(stderr).toContain(`STRIKEWELL_MQTTS_PORT ${mqtts} is in use on 127.0.0.1`);
});
