import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { createMeasures } from '../../../../server/adapters/metrics/metrics.ts';
import { families } from '../../../../server/domain/metrics/families.ts';
import { toolPath } from '../../../support/environment.ts';
import { airRecord } from '../support/house.ts';
import { startInterface } from '../support/interface.ts';

const EXAMPLES = new URL('../../../../server/release/examples/', import.meta.url);
const textOf = (name: string): string => readFileSync(new URL(name, EXAMPLES), 'utf8');

test('the cells of the notebook, run one after the other, print what 1 reading of 21.5 °C is', async () => {
  const page = await startInterface();
  await page.house.report([airRecord(21.5)]);
  const { cells } = JSON.parse(textOf('readings.ipynb'));
  const code = cells
    .filter((cell: { cell_type: string }) => cell.cell_type === 'code')
    .map(({ source }: { source: string[] }) => source.join(''))
    .join('\n');
  const env = { ...process.env, STRIKEWELL_ADDRESS: `http://127.0.0.1:${page.port}` };
  const python = spawn(
    toolPath('python'),
    ['-c', code.replace('datetime.now(timezone.utc)', 'datetime(2026, 6, 1, 10, 1, tzinfo=timezone.utc)')],
    { env },
  );
  let said = '';
  for (const stream of [python.stdout, python.stderr])
    stream.on('data', (text: Buffer) => {
      said += text;
    });
  const [exitCode] = await once(python, 'close');
  await page.close();
  expect(said).toContain("bench-1 {'value': 21.5");
  expect(said).toContain('bench-1/air/temperature [°C]: 1 readings, 21.50 to 21.50, mean 21.50');
  expect(exitCode).toBe(0);
});

test('each metric that the example of alerts names is one that /metrics has', async () => {
  const measures = createMeasures();
  const text = await measures.text(
    families({
      version: '0.1.0',
      node: '24',
      isReady: true,
      readingsAccepted: 0,
      refusedByCode: {},
      conflicts: 0,
      places: [],
      alarmsActive: { high: 0, medium: 0, low: 0 },
      outboxWaiting: 0,
      outboxFailures: 0,
      outboxAgeMs: 0,
      probesSilent: 0,
      placesByState: { act: 0, watch: 0, ok: 0 },
      diskDaysLeft: 30,
      databaseBytes: 0,
      freeBytes: 0,
      clockIsSteady: true,
      loopDelay: { medianMs: 0, p99Ms: 0, maxMs: 0 },
    }),
  );
  const named = [...textOf('alerts.yml').matchAll(/strikewell_\w+/g)].map(([name]) => name);
  expect(named.length).toBeGreaterThan(4);
  for (const name of named) expect(text).toMatch(new RegExp(`^${name}[ {]`, 'm'));
});
