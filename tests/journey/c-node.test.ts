import { expect, onTestFinished, test } from 'vitest';
import { untilStored } from '../contract/passage.ts';
import { compiled } from '../support/c-program.ts';
import { startChild } from '../support/child.ts';
import { startDaemon } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { openRecord } from '../support/record.ts';
import { until } from '../support/wait.ts';

test('a node of the C encoder and libmosquitto, offline for 60 min, delivers its 120 readings through Mosquitto once, though sent twice', async () => {
  const node = compiled({ reference: ['linux-node.c', 'strikewell.c'], libraries: ['-lmosquitto'] });
  const mosquitto = await startMosquitto({ persistence: true });
  onTestFinished(() => mosquitto.close());
  const daemon = await startDaemon({ settings: { STRIKEWELL_MQTT_URL: mosquitto.url } });
  onTestFinished(() => daemon.close());
  const record = openRecord(daemon.dataDir);
  onTestFinished(() => record.close());
  const fromS = Math.floor(Date.now() / 1000) - 2 * 3600;
  const start = (device = 'c-node') =>
    startChild({
      command: node,
      args: ['127.0.0.1', String(mosquitto.port), device, String(fromS), '60'],
      env: plainEnvironment(),
    });

  await mosquitto.stop();
  const offline = start();
  const said = () => (offline.stdout().includes('offline, 60 kept') ? true : null);
  await until(said, { what: 'a node that found no broker', withinMs: 10_000 });
  expect(record.count('c-node')).toBe(0);
  await mosquitto.start();
  expect(await offline.exit, offline.stderr()).toMatchObject({ code: 0 });
  await untilStored(record, { device: 'c-node', count: 120 });

  const again = start();
  expect(await again.exit, again.stderr()).toMatchObject({ code: 0 });
  // One broker hands on in order: once what was sent after the repeats is stored, they were accepted too.
  await start('after').exit;
  await untilStored(record, { device: 'after', count: 120 });

  const stored = record.readings('c-node');
  expect(record.twice()).toBe(0);
  // By hand from linux-node.c: 22 °C and 0.01 K a minute, 90 %RH and 0.05 a minute.
  const root = stored.filter(({ probe }) => probe === 'root/temperature');
  expect(root.map(({ tMs }) => tMs)).toEqual(Array.from({ length: 60 }, (_, k) => (fromS + 60 * k) * 1000));
  expect(root.at(-1)?.value).toBe(22.59);
  const humidity = stored.filter(({ probe }) => probe === 'air/humidity');
  expect(humidity).toHaveLength(60);
  expect(humidity.at(-1)?.value).toBe(92.95);
  expect(await daemon.get('/api/v1/refused')).toMatchObject({ status: 200, body: { refused: [] } });
});
