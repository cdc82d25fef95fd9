import { writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { connectAsync, type MqttClient } from 'mqtt';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { readingsTopic, statusTopic } from '../../firmware-contracts/v1/topics.ts';
import {
  aclLines,
  CONF_LINES,
  daemonAclLines,
  passwordLine,
  removeLine,
} from '../../web/devices/mosquitto.ts';
import { type Child, runChild, startChild } from '../support/child.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { plainEnvironment, toolPath } from '../support/environment.ts';
import { temporaryFolder } from '../support/folders.ts';
import { packOf } from '../support/packs.ts';
import { freePort, isListening } from '../support/ports.ts';
import { until } from '../support/wait.ts';

const SECRETS = { 'bench-1': '-begins_with_a_dash', alarms2: 'secret-of-alarms2', watch: 'of-the-daemon' };
const pack = () => packOf([{ probe: 'air/temperature', unit: 'Cel', value: 21.4, atMs: Date.now() }]);

let folder = '';
let url = '';
let mosquitto: Child;
let daemon: Daemon;

/** A line of the page as root would run it, with the folder of this test for that of the system. */
async function run(line: string): Promise<void> {
  const path = `${dirname(toolPath('mosquittoPasswd'))}:${process.env['PATH'] ?? ''}`;
  await runChild({
    command: 'sh',
    args: ['-c', here(line)],
    env: { ...plainEnvironment(), PATH: path },
  });
}
const here = (text: string) => text.replaceAll('/etc/mosquitto', folder);

beforeAll(async () => {
  folder = temporaryFolder('mosquitto');
  const port = await freePort();
  url = `mqtt://127.0.0.1:${port}`;
  writeFileSync(join(folder, 'passwords'), '', { mode: 0o600 });
  for (const [device, secret] of Object.entries(SECRETS)) await run(passwordLine({ device, secret }));
  const acl = [daemonAclLines('watch'), aclLines('bench-1'), aclLines('alarms2')].join('\n\n');
  writeFileSync(join(folder, 'acl'), `${acl}\n`, { mode: 0o600 });
  const conf = [`listener ${port} 127.0.0.1`, 'user root', 'log_dest stderr', here(CONF_LINES), ''];
  writeFileSync(join(folder, 'mosquitto.conf'), conf.join('\n'));
  mosquitto = startChild({
    command: toolPath('mosquitto'),
    args: ['-c', join(folder, 'mosquitto.conf')],
    env: plainEnvironment(),
  });
  const up = async () => ((await isListening(port)) ? true : null);
  await until(up, { what: 'Mosquitto with the lines of the page', withinMs: 10_000 });
  daemon = await startDaemon({
    settings: {
      STRIKEWELL_MQTT_URL: url,
      STRIKEWELL_TIME_ZONE: 'UTC',
      STRIKEWELL_MQTT_USERNAME: 'watch',
      STRIKEWELL_MQTT_PASSWORD: SECRETS.watch,
    },
  });
});
afterAll(async () => {
  await daemon.close();
  await mosquitto.end('SIGTERM');
});

/** MQTT 5, for its PUBACK says what was refused (3.4.2.1: 135 is not authorized). */
async function connect(device: keyof typeof SECRETS): Promise<MqttClient> {
  const client = await connectAsync(
    url,
    { username: device, password: SECRETS[device], clientId: device, protocolVersion: 5, reconnectPeriod: 0 },
    false,
  );
  client.on('error', () => undefined);
  onTestFinished(() => void client.end(true));
  return client;
}
const places = async () => JSON.stringify((await daemon.get('/api/v1/places')).body);
const codeOf = (publishing: Promise<unknown>) =>
  publishing.then(
    () => 0,
    ({ code }: { code: number }) => code,
  );

test('a device publishes readings and status through the ACL lines of the page into the record', async () => {
  const client = await connect('bench-1');
  await client.publishAsync(statusTopic('bench-1'), '{"state":"online"}', { qos: 1, retain: true });
  expect(await codeOf(client.publishAsync(readingsTopic('bench-1'), pack(), { qos: 1 }))).toBe(0);
  const isListed = async () => ((await places()).includes('"bench-1"') ? true : null);
  await until(isListed, { what: 'place of the device', withinMs: 10_000 });
  const { body } = await daemon.get('/api/v1/devices');
  expect(body).toMatchObject({
    broker: { embedded: false, user: 'watch' },
    devices: [{ device: 'bench-1', packs: 1, status: { state: 'online' } }],
  });
});

test.each([
  readingsTopic('alarms2'),
  statusTopic('alarms2'),
  'strikewell/1/watch/heartbeat',
  'strikewell/1/alarms/bench-1.no-data',
  'strikewell/1/bench-1/other',
])('a device that tries %s is refused by Mosquitto with 135, and nothing is stored', async (topic) => {
  const client = await connect('bench-1');
  expect(await codeOf(client.publishAsync(topic, pack(), { qos: 1 }))).toBe(135);
  expect(await places()).not.toContain('alarms2');
});

test('a device receives the heartbeat, and nothing of another device', async () => {
  const client = await connect('bench-1');
  const other = await connect('alarms2');
  const received: string[] = [];
  client.on('message', (topic) => received.push(topic));
  await client
    .subscribeAsync(['strikewell/1/watch/heartbeat', readingsTopic('alarms2')], { qos: 1 })
    .catch(() => {});
  await other.publishAsync(readingsTopic('alarms2'), pack(), { qos: 1 });
  const beat = async () => (received.includes('strikewell/1/watch/heartbeat') ? true : null);
  await until(beat, { what: 'heartbeat through the ACL', withinMs: 10_000 });
  // what the broker had for this client goes out before the answer to a later publish
  await client.publishAsync(readingsTopic('bench-1'), pack(), { qos: 1 });
  expect(received).not.toContain(readingsTopic('alarms2'));
});

test('an anonymous client is refused, and so is a device that the page’s line took out, after Mosquitto read its files again', async () => {
  const anonymous = connectAsync(url, { protocolVersion: 4, reconnectPeriod: 0 }, false);
  // MQTT 3.1.1, table 3.1: 5 not authorized
  await expect(anonymous).rejects.toMatchObject({ code: 5 });
  await run(removeLine('alarms2'));
  process.kill(mosquitto.pid, 'SIGHUP');
  const refused = async () => {
    const coming = await connect('alarms2').then(
      (client) => client.endAsync(true).then(() => null),
      ({ code }: { code: number }) => code,
    );
    return coming;
  };
  // MQTT 5, 3.2.2.2: 135 not authorized
  expect(await until(refused, { what: 'refusal', withinMs: 5_000, everyMs: 100 })).toBe(135);
});
