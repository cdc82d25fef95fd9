import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { runChild } from '../support/child.ts';
import { startDaemon } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';

const launcher = fileURLToPath(new URL('../../server/launch.js', import.meta.url));
const HOUR_MS = 3_600_000;

test('3 days, settled while the daemon ran, give the same answers to the last digit after rebuild settled them again', async () => {
  const daemon = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  const startMs = Math.floor(Date.now() / HOUR_MS) * HOUR_MS - 96 * HOUR_MS;
  const publisher = await connectPublisher({ url: daemon.mqttUrl });
  for (let hour = 0; hour < 72; hour++) {
    const records = Array.from({ length: 60 }, (_, minute) => {
      const t = (startMs + hour * HOUR_MS + minute * 60_000) / 1_000;
      const swing = Math.sin(hour / 4 + minute / 240);
      return [
        { n: 'air/temperature', u: 'Cel', v: Math.round((22 + 6 * swing) * 100) / 100, t },
        { n: 'air/humidity', u: '%RH', v: Math.round((85 - 14 * swing) * 100) / 100, t },
        { n: 'root/temperature', u: 'Cel', v: Math.round((22 + 2 * swing) * 16) / 16, t },
      ];
    }).flat();
    await publisher.publish({ topic: readingsTopic('sill'), payload: JSON.stringify(records) });
  }
  await publisher.close();
  const span = `from=${new Date(startMs + 1_234_567).toISOString()}&to=${new Date(startMs + 70 * HOUR_MS).toISOString()}`;
  const ask = async () => JSON.stringify((await daemon.get(`/api/v1/places/sill/exposures?${span}`)).body);
  const before = await ask();
  expect(JSON.parse(before)).toMatchObject({ placeId: 'sill' });
  await daemon.stop();
  const env = plainEnvironment({ STRIKEWELL_DATA_DIR: daemon.dataDir, STRIKEWELL_TIME_ZONE: 'UTC' });
  const said = await runChild({ command: process.execPath, args: [launcher, 'rebuild', '--json'], env });
  // from the hour of the first reading to that of the last, all over for long
  expect(JSON.parse(said)).toEqual({ settledHours: { sill: 72 } });
  await daemon.start();
  expect(await ask()).toBe(before);
  await daemon.close();
});
