import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync, gzipSync } from 'node:zlib';
import { DuckDBInstance } from '@duckdb/node-api';
import { expect, test } from 'vitest';
import { proposeMapping } from '../../../../server/domain/exchange/read/propose.ts';
import type { Exchange } from '../../../../server/ports.ts';
import type { ExportForm } from '../../../../shared/wire/exchange.ts';
import { temporaryFolder } from '../../../support/folders.ts';
import { exchangeOf, faultOf, ORDER } from '../support/exchange.ts';
import { START_MS, startHouse } from '../support/house.ts';

const TIMES = 10_000;
const STEP_MS = 1_000;
const FIRST_MS = START_MS - 86_400_000;

async function* piecesOf(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += 65_521) yield bytes.subarray(at, at + 65_521);
}

/** 10,000 times of 2 probes and a third at each third time, whose values have up to 16 digits. */
function logger(): Uint8Array {
  const rows = Array.from({ length: TIMES }, (_, i) => {
    const values = [18 + (i % 977) / 70, 90 - (i % 501) * 0.01, i % 3 === 0 ? 15 + i / 7_000 : ''];
    return [new Date(FIRST_MS + i * STEP_MS + 1).toISOString(), ...values].join(',');
  });
  return new TextEncoder().encode(
    ['time,air/temperature [°C],air/humidity [%RH],root/temperature/2 [°C]', ...rows].join('\n'),
  );
}

function exported(exchange: Exchange, place: string, as: ExportForm): Uint8Array {
  const query = { what: 'readings', as, by: 'day', fromMs: null, toMs: null } as const;
  const chunks = [...exchange.exportOf(place, query).chunks];
  return Buffer.concat(chunks.map(({ text }) => Buffer.from(text as string)));
}

async function filled(): Promise<Exchange> {
  const exchange = exchangeOf(startHouse());
  const report = await exchange.importFrom(piecesOf(logger()), { ...ORDER, device: 'own' });
  expect(report.bad).toEqual({ count: 0, listed: [] });
  expect(report.stored).toBe(2 * TIMES + Math.ceil(TIMES / 3));
  return exchange;
}

const READINGS = 2 * TIMES + Math.ceil(TIMES / 3);
const renamed = (bytes: Uint8Array): string =>
  Buffer.from(bytes).toString('utf8').replaceAll('own/', 'other/');

test('23,334 readings of 3 probes come back in each format under another name, bit for bit, also packed by gzip', async () => {
  const from = await filled();
  const asCsv = renamed(exported(from, 'own', 'csv'));
  for (const as of ['csv', 'ndjson', 'senml', 'parquet'] as const) {
    const file = exported(from, 'own', as);
    const to = exchangeOf(startHouse());
    const order = { ...ORDER, as, device: 'other' };
    const report = await to.importFrom(piecesOf(as === 'ndjson' ? gzipSync(file) : file), order);
    expect([as, report.stored, report.bad.count]).toEqual([as, READINGS, 0]);
    // the order of the columns is that in which the probes were first seen
    expect(Buffer.from(exported(to, 'other', 'csv')).toString('utf8')).toBe(asCsv);
    const again = await to.importFrom(piecesOf(exported(to, 'other', as)), order);
    expect([again.stored, again.repeats, again.conflicts]).toEqual([0, READINGS, 0]);
  }
});

test('DuckDB counts the same 23,334 readings in the Parquet file, with their times and sums', async () => {
  const file = exported(await filled(), 'own', 'parquet');
  const path = join(temporaryFolder('parquet'), 'own.parquet');
  writeFileSync(path, file);
  const connection = await (await DuckDBInstance.create()).connect();
  const ask = `select probe, unit, count(*)::int n, sum(value)::double s, epoch_ms(min(time))::double f from '${path}' group by all order by probe`;
  const rows = (await connection.runAndReadAll(ask)).getRowsJson();
  connection.closeSync();
  const sum = (of: (i: number) => number) =>
    Array.from({ length: TIMES }, (_, i) => of(i)).reduce((total, value) => total + value, 0);
  expect(rows.map(([probe, unit, n, , first]) => [probe, unit, n, first])).toEqual([
    ['air/humidity', '%RH', TIMES, FIRST_MS + 1],
    ['air/temperature', '°C', TIMES, FIRST_MS + 1],
    ['root/temperature/2', '°C', Math.ceil(TIMES / 3), FIRST_MS + 1],
  ]);
  expect(rows[1]?.[3]).toBeCloseTo(
    sum((i) => 18 + (i % 977) / 70),
    3,
  );
  expect(file.length / READINGS).toBeLessThan(8);
});

test('a file of 2 devices is asked about by its second, and read once it is said which of them is meant', async () => {
  const lines = ['a', 'b', 'a'].map((device, i) =>
    JSON.stringify({
      time: new Date(FIRST_MS + i).toISOString(),
      device,
      probe: 'air/temperature',
      unit: '°C',
      value: 20 + i,
    }),
  );
  const file = Buffer.from(lines.join('\n'));
  const exchange = exchangeOf(startHouse());
  const order = { ...ORDER, as: 'ndjson', device: 'other' } as const;
  const asked = await exchange.importFrom(piecesOf(file), { ...order, dryRun: true });
  expect(asked.bad.listed).toEqual([{ line: 2, reason: expect.stringContaining('--of b') }]);
  const report = await exchange.importFrom(piecesOf(file), { ...order, of: 'b' });
  expect([report.stored, report.bad.count]).toEqual([1, 0]);
  const packs = Buffer.from(
    '[{"bn":"a/","bt":1780000000,"n":"air/temperature","u":"Cel","v":20}]\n[{"n":"b/air/temperature","u":"Cel","t":1780000000,"v":21}]\n',
  );
  const senml = await exchange.importFrom(piecesOf(packs), { ...order, as: 'senml', dryRun: true });
  expect(senml.bad.listed).toEqual([{ line: 2, reason: expect.stringContaining('--of b') }]);
  const spoilt = Buffer.concat([Buffer.from('no pack\n'), packs.subarray(0, packs.indexOf('\n') + 1)]);
  const one = await exchange.importFrom(piecesOf(spoilt), { ...order, as: 'senml', dryRun: true });
  expect([one.readings, one.bad.count]).toEqual([1, 1]);
  const own = await exchange.importFrom(piecesOf(packs), {
    ...order,
    device: 'b',
    as: 'senml',
    dryRun: true,
  });
  expect(own.bad.listed).toEqual([{ line: 1, reason: expect.stringContaining('--of a') }]);
});

test.each([
  ['csv', '{"time":"2026-05-31T10:00:00Z","probe":"air/temperature","value":20}\n', '--as ndjson'],
  ['ndjson', '{"placeId":"sill","air":{}}\n', '"time", "device", "probe", "unit" and "value"'],
  ['ndjson', 'time,air/temperature\n', 'it is no JSON'],
] as const)('as %s, %s is refused with what to do: %s', async (as, text, words) => {
  const report = await exchangeOf(startHouse()).importFrom(piecesOf(Buffer.from(text)), { ...ORDER, as });
  expect([...report.undecided, ...report.bad.listed.map(({ reason }) => reason)].join()).toContain(words);
  expect(report.stored).toBe(0);
});

test('a gzip file that is cut off, and a text that is said to be Parquet, are refused with 1 line each', async () => {
  const exchange = exchangeOf(startHouse());
  const packed = gzipSync(logger());
  expect(gunzipSync(packed).length).toBeGreaterThan(packed.length);
  const cut = exchange.importFrom(piecesOf(packed.subarray(0, packed.length / 2)), ORDER);
  expect((await faultOf(cut)).message).toContain('it is damaged or cut off');
  const text = exchange.importFrom(piecesOf(Buffer.from('time,a\n')), { ...ORDER, as: 'parquet' });
  expect((await faultOf(text)).message).toContain('cannot be read as Parquet');
});

test('columns of one device with a probe of its own naming are read under another name; of 2 devices those that are meant', () => {
  const header = ['time', 'own/air/temperature [°C]', 'own/co2 [ppm]'];
  const rows = [['2026-05-31T10:00:00Z', '20', '400']];
  const file = { header, rows, device: 'other', zone: null };
  const probes = (proposal: ReturnType<typeof proposeMapping>) =>
    proposal.mapping?.columns.map(({ probe }) => probe);
  expect(probes(proposeMapping(file))).toEqual(['air/temperature', 'co2']);
  const two = { ...file, header: ['time', 'own/air/temperature [°C]', 'far/air/temperature [°C]'] };
  expect(probes(proposeMapping({ ...two, of: 'far' }))).toEqual(['air/temperature']);
  expect(proposeMapping({ ...two, of: 'far' }).text).toContain('far/air/temperature');
});
