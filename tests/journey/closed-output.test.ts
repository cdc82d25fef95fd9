import { expect, onTestFinished, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { startChild } from '../support/child.ts';
import { LAUNCHER } from '../support/command.ts';
import { untilReady } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { removeFolder, temporaryFolder } from '../support/folders.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { packOf } from '../support/packs.ts';
import { freePort } from '../support/ports.ts';

test('a daemon whose log and output go to a full disk takes readings all the same', async () => {
  const folder = temporaryFolder('output');
  const [httpPort, mqttPort] = [await freePort(), await freePort()];
  const env = plainEnvironment({
    STRIKEWELL_DATA_DIR: folder,
    STRIKEWELL_HTTP_PORT: String(httpPort),
    STRIKEWELL_MQTT_PORT: String(mqttPort),
  });
  const serve = 'exec "$0" "$@" >/dev/full 2>&1';
  const child = startChild({ command: 'sh', args: ['-c', serve, process.execPath, LAUNCHER, 'serve'], env });
  onTestFinished(async () => {
    await child.end('SIGTERM');
    removeFolder(folder);
  });
  await untilReady({ httpUrl: `http://127.0.0.1:${httpPort}`, hasEnded: child.hasEnded, said: child.stderr });
  const device = await connectPublisher({ url: `mqtt://127.0.0.1:${mqttPort}` });
  const point = { probe: 'air/temperature', unit: 'Cel', value: 21, atMs: Date.now() };
  await device.publish({ topic: readingsTopic('bench-1'), payload: packOf([point]) });
  // a refusal is logged, too
  await device.publish({ topic: readingsTopic('bench-1'), payload: 'no pack' });
  await device.publish({
    topic: readingsTopic('bench-1'),
    payload: packOf([{ ...point, atMs: point.atMs + 1 }]),
  });
  await device.close();
  expect(child.hasEnded()).toBe(false);
});
