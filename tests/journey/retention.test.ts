import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect, onTestFinished, test } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { runCommand } from '../support/command.ts';
import { startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { openRecord } from '../support/record.ts';
import { until } from '../support/wait.ts';

const HOUR_MS = 3_600_000;
const HOURS = 30;

test('30 hours of 60 days ago, restarted with readings kept 35 days: no block of readings is left, chart and exposures are as they were', async () => {
  const first = await startDaemon({ settings: { STRIKEWELL_TIME_ZONE: 'UTC' } });
  onTestFinished(() => first.close());
  const startMs = Math.floor(Date.now() / HOUR_MS) * HOUR_MS - 60 * 24 * HOUR_MS;
  const publisher = await connectPublisher({ url: first.mqttUrl });
  for (let hour = 0; hour < HOURS; hour++) {
    const records = Array.from({ length: 360 }, (_, i) => {
      const t = (startMs + hour * HOUR_MS + i * 10_000) / 1_000;
      const v = hour === 7 && i === 100 ? 39.5 : 20 + ((i * 7 + hour) % 50) / 10;
      return { n: 'air/temperature', u: 'Cel', v, t };
    });
    await publisher.publish({ topic: readingsTopic('sill'), payload: JSON.stringify(records) });
  }
  await publisher.close();
  const span = `from=${new Date(startMs).toISOString()}&to=${new Date(startMs + HOURS * HOUR_MS).toISOString()}`;
  const year = `from=${new Date(startMs - 300 * 24 * HOUR_MS).toISOString()}&to=${new Date(startMs + 65 * 24 * HOUR_MS).toISOString()}`;
  const asked = async (daemon: typeof first) => [
    (await daemon.get(`/api/v1/places/sill/exposures?${span}`)).body,
    (await daemon.get(`/api/v1/places/sill/series?quantity=airTemperatureC&points=1000&${year}`)).body,
  ];
  const settings = {
    STRIKEWELL_TIME_ZONE: 'UTC',
    STRIKEWELL_DATA_DIR: first.dataDir,
    STRIKEWELL_KEEP_RAW_DAYS: '35',
  };
  const sealedCount = (marked: string) => {
    const db = new Database(join(first.dataDir, 'strikewell.db'), { readonly: true });
    const sql = `SELECT count(*) FROM sealed WHERE substr(block, 1, 1) ${marked}`;
    const count = db.prepare<[], number>(sql).pluck().get();
    db.close();
    return count;
  };
  await until(() => (sealedCount("= x'01'") === HOURS ? true : null), {
    what: 'sealed hours',
    withinMs: 60_000,
  });
  const before = await asked(first);
  expect(JSON.stringify(before[1])).toContain('39.5');
  await first.stop();
  const second = await startDaemon({ settings });
  onTestFinished(async () => void (await second.stop()));
  await until(() => (sealedCount("<> x'01'") === HOURS ? true : null), {
    what: 'minutes in place of readings',
    withinMs: 60_000,
  });
  const [exposures, series] = await asked(second);
  expect(exposures).toEqual(before[0]);
  // the same, and a note that minutes stand in; marks of suspect readings go with the readings
  const unmarked = (exported: unknown) =>
    JSON.parse(JSON.stringify(exported).replaceAll(',"suspect":true', ''));
  expect(unmarked(series)).toMatchObject(unmarked(before[1]));
  expect(series).toHaveProperty('minutesBefore');
  const exported = await runCommand(['export', '--place', 'sill'], settings);
  expect(exported.stderr).toContain('were dropped for their age');
  const integrity = openRecord(first.dataDir).integrity();
  expect(integrity).toBe('ok');
});
