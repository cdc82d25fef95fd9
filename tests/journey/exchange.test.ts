import { existsSync, mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { removeFolder, temporaryFolder } from '../support/folders.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { until } from '../support/wait.ts';
import { demoFile, peakKibOf, run, startCommand } from './exchange.ts';
import * as replay from './open-data.ts';

const FILE = new URL('../open-data/occupancy-three-days.csv', import.meta.url).pathname;
const MAP =
  'date=time local; Temperature=air/temperature °C; Humidity=air/humidity %RH; Light=light/illuminance lx';
const READINGS = 3 * replay.rows.length;

const reportSchema = z.object({
  dryRun: z.boolean(),
  rows: z.number(),
  readings: z.number(),
  stored: z.number(),
  repeats: z.number(),
  conflicts: z.number(),
  undecided: z.array(z.string()),
});
const reportOf = (stdout: string) => reportSchema.parse(JSON.parse(stdout));

describe('the record of a room, 4,321 rows', () => {
  let daemon: Daemon;
  const importing = ['import', FILE, '--device', 'from-file', '--zone', 'UTC', '--map', MAP, '--json'];
  const env = () => ({ STRIKEWELL_DATA_DIR: daemon.dataDir, STRIKEWELL_TIME_ZONE: 'UTC' });

  /** The same rows as the device "office" over MQTT, to be compared with what the file brings. */
  beforeAll(async () => {
    daemon = await startDaemon({ settings: replay.settings });
    const publisher = await connectPublisher({ url: daemon.mqttUrl });
    const packs = replay.packsOf({ rows: replay.rows, device: replay.DEVICE, most: 20, seed: 1 });
    await replay.publishAll(publisher, replay.DEVICE, packs);
    await publisher.close();
  });
  afterAll(() => daemon.close());

  test('beside a running daemon nothing is stored, exit code 2; the way over HTTP is named', async () => {
    const { code, stderr } = await run([...importing, '--store'], env());
    expect(code).toBe(2);
    expect(stderr).toContain('is in use by process');
    expect(stderr).toContain('curl -X POST -T');
  });

  test('without units and zone the command asks for them, exit code 2', async () => {
    const { code, stdout } = await run(['import', FILE, '--device', 'from-file'], env());
    expect(code).toBe(2);
    expect(stdout).toContain('the unit of "Temperature": Cel or K or degF');
    expect(stdout).toContain('--zone America/Chicago');
  });

  test(`a dry run says what ${READINGS} readings would do, storing does it, and again all are repeats`, async () => {
    await daemon.stop();
    const dry = await run(importing, env());
    expect([dry.code, reportOf(dry.stdout)]).toMatchObject([
      0,
      { dryRun: true, rows: 4_321, stored: READINGS },
    ]);
    const stored = await run([...importing, '--store'], env());
    expect([stored.code, reportOf(stored.stdout)]).toMatchObject([0, { dryRun: false, stored: READINGS }]);
    const again = await run([...importing, '--store'], env());
    expect(reportOf(again.stdout)).toMatchObject({ stored: 0, repeats: READINGS, conflicts: 0 });
  });

  test('the daemon answers for it as for the same rows over MQTT: exposures and series of every window are equal', async () => {
    await daemon.start();
    for (const placeId of ['from-file', replay.DEVICE]) await replay.setTargets(daemon, placeId);
    for (const [from, to] of Object.values(replay.WINDOWS)) {
      const answers = ['from-file', replay.DEVICE].map(async (placeId) => {
        const exposures = await daemon.get(`/api/v1/places/${placeId}/exposures?from=${from}&to=${to}`);
        const vpd = await daemon.get(
          `/api/v1/places/${placeId}/series?quantity=airVpdKpa&from=${from}&to=${to}`,
        );
        return { exposures: { ...(exposures.body as object), placeId: '' }, vpd: vpd.body };
      });
      const [fromFile, overMqtt] = await Promise.all(answers);
      expect(fromFile).toEqual(overMqtt);
    }
    const { alarms } = (await daemon.get('/api/v1/alarms')).body as { alarms: { placeId: string }[] };
    expect(alarms.filter(({ placeId }) => placeId === 'from-file')).toEqual([]);
  });

  test('what is exported beside the running daemon is the file again, number by number', async () => {
    const { code, stdout } = await run(['export', '--place', 'from-file'], env());
    expect(code).toBe(0);
    const rows = stdout
      .trim()
      .split('\r\n')
      .slice(1)
      .map((row) => row.split(','));
    expect(rows).toEqual(
      replay.rows.map(({ atMs, airTemperatureC, relativeHumidityPct, illuminanceLx }) => [
        new Date(atMs).toISOString(),
        ...[airTemperatureC, relativeHumidityPct, illuminanceLx].map(String),
      ]),
    );
    const http = await fetch(`${daemon.httpUrl}/api/v1/places/from-file/export`);
    expect(await http.text()).toBe(stdout);
  });
});

test('300,000 readings imported over HTTP let messages be acknowledged meanwhile, and report how far they are', async () => {
  const daemon = await startDaemon({ settings: replay.settings });
  const publisher = await connectPublisher({ url: daemon.mqttUrl });
  const startMs = Date.UTC(2026, 0, 1);
  const rows = Array.from({ length: 100_000 }, (_, i) => {
    const t = new Date(startMs + i * 10_000).toISOString();
    return `${t},${20 + (i % 70) / 10},${80 + (i % 90) / 10},${21 + (i % 30) / 10}`;
  });
  const body = ['time,air/temperature [°C],air/humidity [%RH],root/temperature [°C]', ...rows].join('\n');
  const url = `${daemon.httpUrl}/api/v1/import?device=file&dryRun=false`;
  let isDone = false;
  const imported = fetch(url, { method: 'POST', body, headers: { 'content-type': 'text/csv' } }).finally(
    () => {
      isDone = true;
    },
  );
  const waitsMs: number[] = [];
  const seen = new Set<string>();
  while (!isDone) {
    const beganMs = performance.now();
    const payload = JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: 21 }]);
    await publisher.publish({ topic: readingsTopic('live'), payload });
    waitsMs.push(performance.now() - beganMs);
    if (waitsMs.length % 10 === 0) {
      const progress = (await daemon.get('/api/v1/import')).body as { import: { state: string } | null };
      seen.add(progress.import?.state ?? 'none');
    }
  }
  const report = (await (await imported).json()) as { stored: number };
  expect(report.stored).toBe(300_000);
  expect(seen).toContain('running');
  const sorted = waitsMs.toSorted((a, b) => a - b);
  const at = (part: number) => sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))] ?? 0;
  console.log(
    `import over HTTP: ${waitsMs.length} messages acknowledged meanwhile, median ${at(0.5).toFixed(1)} ms, ` +
      `95 % under ${at(0.95).toFixed(1)} ms, longest ${at(1).toFixed(1)} ms`,
  );
  // every one of them was acknowledged; how soon is printed above and judged by nobody here
  expect(waitsMs.length).toBeGreaterThan(10);
  await publisher.close();
  await daemon.close();
});

describe('the demo’s 14 days', () => {
  const folder = temporaryFolder('exchange');
  const env = { STRIKEWELL_DATA_DIR: join(folder, 'data'), STRIKEWELL_TIME_ZONE: 'UTC' };
  const demo = demoFile(join(folder, 'demo.senml'));
  afterAll(() => removeFolder(folder));

  test('come in as SenML, one pack a line', async () => {
    mkdirSync(env.STRIKEWELL_DATA_DIR);
    const { code, stdout } = await run(
      ['import', demo.path, '--device', demo.device, '--store', '--json'],
      env,
    );
    expect([code, reportOf(stdout)]).toMatchObject([
      0,
      { rows: demo.packs, readings: demo.readings, conflicts: 0 },
    ]);
    expect(reportOf(stdout).stored + reportOf(stdout).repeats).toBe(demo.readings);
  });

  test.each(['csv', 'ndjson', 'senml'])(
    'go out as %s in less than 50 MB more than 1 day of them',
    async (as) => {
      const exported = async (from: string, name: string) => {
        const out = join(folder, name);
        const { code, peakKib } = await peakKibOf(
          ['export', '--place', demo.device, '--as', as, '--from', from, '--out', out, '--progress'],
          env,
        );
        expect(code).toBe(0);
        return { peakKib, bytes: readFileSync(out).length };
      };
      const day = await exported(new Date(demo.endMs - 86_400_000).toISOString(), `day.${as}`);
      const all = await exported(new Date(demo.endMs - 15 * 86_400_000).toISOString(), `all.${as}`);
      const grownMb = (all.peakKib - day.peakKib) / 1_024;
      console.log(
        `export of 14 days as ${as}: ${(all.bytes / 1e6).toFixed(1)} MB written, peak ${Math.round(all.peakKib / 1_024)} MB ` +
          `resident, ${grownMb.toFixed(1)} MB more than for 1 day`,
      );
      expect(all.bytes).toBeGreaterThan(10 * day.bytes);
      expect(grownMb).toBeLessThan(50);
    },
  );
});

test('an import killed in its middle leaves whole transactions, and run again it is whole', async () => {
  const folder = temporaryFolder('killed');
  const env = { STRIKEWELL_DATA_DIR: join(folder, 'data') };
  const file = join(folder, 'long.csv');
  const rows = Array.from({ length: 100_000 }, (_, i) => {
    const t = new Date(Date.UTC(2026, 0, 1) + i * 10_000).toISOString();
    return `${t},${20 + (i % 70) / 10},${80 + (i % 90) / 10}`;
  });
  writeFileSync(file, ['time,air/temperature [°C],air/humidity [%RH]', ...rows].join('\r\n'));
  const importing = ['import', file, '--device', 'long', '--store', '--json'];
  const child = startCommand([...importing, '--progress'], env);
  const log = join(folder, 'data', 'strikewell.db-wal');
  const isChecked = () => (child.stderr().includes('checked: 100 %') ? statSync(log).size : null);
  const atFirst = await until(isChecked, { what: 'check of the whole file', withinMs: 60_000, everyMs: 2 });
  const isStoring = () => (statSync(log).size > atFirst + 100_000 ? true : null);
  await until(isStoring, { what: 'import under way', withinMs: 60_000, everyMs: 2 });
  expect(await child.end('SIGKILL')).toEqual({ code: null, signal: 'SIGKILL' });
  expect(existsSync(join(folder, 'data', 'strikewell.db'))).toBe(true);

  const kept =
    (await run(['export', '--place', 'long', '--as', 'ndjson'], env)).stdout.split('\n').length - 1;
  console.log(`killed after ${kept} of 200000 readings`);
  expect(kept).toBeGreaterThan(0);
  expect(kept).toBeLessThan(200_000);
  const { code, stdout } = await run(importing, env);
  expect([code, reportOf(stdout)]).toMatchObject([
    0,
    { stored: 200_000 - kept, repeats: kept, conflicts: 0 },
  ]);
  const csv = (await run(['export', '--place', 'long'], env)).stdout.trim().split('\r\n').slice(1);
  expect(csv).toEqual(rows);
  removeFolder(folder);
});
