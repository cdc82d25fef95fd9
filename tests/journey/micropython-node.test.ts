import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { startChild } from '../support/child.ts';
import { startDaemon } from '../support/daemon.ts';
import { plainEnvironment, toolPath } from '../support/environment.ts';
import { temporaryFolder } from '../support/folders.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { until } from '../support/wait.ts';

const PROGRAM = new URL('../../firmware-contracts/reference/micropython/', import.meta.url).pathname;

/** The MQTT part of the program over real sockets, in desktop Python: it is the same file. */
const STORY = `
import json, sys, time
sys.path.insert(0, sys.argv[1])
import mqtt
host, port, authority, device = sys.argv[2], int(sys.argv[3]), sys.argv[4], sys.argv[5]
der = open(authority, 'rb').read() if authority else None
client = mqtt.Client(mqtt.open_stream(host, port, der))
topic = 'strikewell/1/%s/' % device
client.connect(device, None, topic + 'status', b'{"state":"offline"}')
client.publish(topic + 'status', b'{"state":"online","firmware":"micropython-1"}', retain=True)
for value in range(200):
    pack = [{"bn": device + "/", "bt": time.time() - 200 + value, "n": "air/temperature", "u": "Cel", "v": 20 + value / 100}]
    client.publish(topic + 'readings', json.dumps(pack).encode())
print('acknowledged', client.number)
client.close()
`;

async function sent(args: readonly string[]) {
  const child = startChild({
    command: toolPath('python'),
    args: ['-B', '-c', STORY, PROGRAM, ...args],
    env: plainEnvironment(),
  });
  const { code } = await child.exit;
  return { code, said: child.stdout().trim(), why: child.stderr() };
}

test('the program’s MQTT part: 200 packs acknowledged by the embedded broker are on the page; Mosquitto takes them over TLS from who trusts its authority alone', async () => {
  const daemon = await startDaemon();
  const plain = await sent(['127.0.0.1', String(daemon.mqttPort), '', 'sill']);
  expect(plain).toEqual({ code: 0, said: 'acknowledged 201', why: '' });
  const now = async () => {
    const { body } = await daemon.get('/api/v1/places/sill/now');
    const { quantities } = body as { quantities: { airTemperatureC?: { value: number } } };
    return quantities.airTemperatureC?.value === 21.99 ? true : null;
  };
  expect(await until(now, { what: 'last reading', withinMs: 5_000 })).toBe(true);
  const devices = await daemon.get('/api/v1/devices');
  expect(JSON.stringify(devices.body)).toContain('micropython-1');
  await daemon.close();

  const broker = await startMosquitto({ tls: true });
  const der = join(temporaryFolder('der'), 'authority.der');
  const pem = readFileSync(broker.caFile ?? '', 'utf8');
  writeFileSync(der, Buffer.from(pem.replaceAll(/-----[^-]+-----|\s/g, ''), 'base64'));
  const encrypted = ['127.0.0.1', String(broker.port)];
  expect(await sent([...encrypted, der, 'sill'])).toEqual({ code: 0, said: 'acknowledged 201', why: '' });
  const other = await sent([...encrypted, '', 'sill']);
  expect(other.code).not.toBe(0);
  await broker.close();
});
