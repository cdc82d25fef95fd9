import { setTimeout as sleep } from 'node:timers/promises';
import { expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { untilHeard } from '../support/herald.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { openRecord } from '../support/record.ts';
import { seededNumbers } from '../support/seeded.ts';
import { until } from '../support/wait.ts';
import { keyOf, type Storm, startStorm } from './storm.ts';

const KILLS = 20;
const SEED = 20_261_125;
const houseSchema = z.object({
  readings: z.object({ refused: z.number(), conflicts: z.number() }),
});

/** Kills the daemon again and again in the middle of the storm, each time after 0.1 to 0.7 s of it. */
async function killRepeatedly(daemon: Daemon, storm: Storm): Promise<void> {
  const next = seededNumbers(SEED);
  for (let kill = 0; kill < KILLS; kill += 1) {
    const before = storm.acknowledged();
    await until(() => (storm.acknowledged() > before ? true : null), { what: 'storm', withinMs: 10_000 });
    await sleep(100 + 600 * next());
    expect(await daemon.kill()).toEqual({ code: null, signal: 'SIGKILL' });
    await daemon.start();
  }
}

/** Every acknowledged reading is in the file once, with its value; the file is sound. */
async function expectNothingLost(path: string, daemon: Daemon, storm: Storm): Promise<void> {
  const record = openRecord(daemon.dataDir);
  onTestFinished(() => record.close());
  const missing = () => {
    const stored = new Set(record.readings().map(keyOf));
    return [...storm.acknowledgedKeys].filter((key) => !stored.has(key));
  };
  const drained = () => (missing().length === 0 ? true : null);
  await until(drained, { what: 'whole storm in the record', withinMs: 75_000, everyMs: 500 }).catch(
    () => null,
  );
  const { readings } = await daemon.read('/api/v1/house', houseSchema);
  const stored = record.readings().filter(({ device }) => device.startsWith('storm-')).length;
  const acknowledged = storm.acknowledged();
  console.log(
    `${path}: ${KILLS} kills, ${acknowledged} readings acknowledged, ${stored} stored, ` +
      `${missing().length} acknowledged and missing, ${record.twice()} stored twice`,
  );
  expect(missing()).toEqual([]);
  expect(record.twice()).toBe(0);
  expect(acknowledged).toBeGreaterThan(KILLS * 100);
  expect(readings).toMatchObject({ refused: 0, conflicts: 0 });
  expect(record.integrity()).toBe('ok');
}

test('the embedded broker, killed 20 times in a storm of 4 devices, has every acknowledged reading once', async () => {
  const daemon = await startDaemon();
  onTestFinished(() => daemon.close());
  const broker = { url: daemon.mqttUrl };
  const storm = startStorm({ broker, clients: 4, underWay: 10, restMs: 0, seed: SEED });
  await killRepeatedly(daemon, storm);
  await storm.end();
  await expectNothingLost('embedded broker', daemon, storm);
}, 180_000);

test('behind Mosquitto, killed 20 times in a storm of 4 devices, the daemon has every reading Mosquitto acknowledged once', async () => {
  const mosquitto = await startMosquitto({ persistence: true });
  onTestFinished(() => mosquitto.close());
  const daemon = await startDaemon({ settings: { STRIKEWELL_MQTT_URL: mosquitto.url } });
  onTestFinished(() => daemon.close());
  const record = openRecord(daemon.dataDir);
  await untilHeard({ broker: mosquitto, record, device: 'herald' });
  record.close();
  const broker = { url: mosquitto.url };
  const storm = startStorm({ broker, clients: 4, underWay: 10, restMs: 5, seed: SEED });
  await killRepeatedly(daemon, storm);
  await storm.end();
  await expectNothingLost('outside broker', daemon, storm);
}, 180_000);
