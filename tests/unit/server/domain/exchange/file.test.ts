import { describe, expect, test } from 'vitest';
import { SAMPLE_ROWS } from '../../../../../server/domain/exchange/read/file-reader.ts';
import { badOf, NOW_MS, pointsOf, readCsv, readSenml } from './support.ts';

const T = '2026-06-01T10:00:00Z';
const T_MS = Date.UTC(2026, 5, 1, 10);
const csv = (unit: string, ...rows: readonly string[]) =>
  [`time,air/temperature [${unit}]`, ...rows].join('\n');
const valuesOf = (text: string) => pointsOf(readCsv(text).items).map(({ value }) => value);

describe('values of a CSV file', () => {
  // [SI]: t/°C = (t/°F − 32) × 5/9, by definition; these are exact
  test.each([
    [32, 0],
    [212, 100],
    [-40, -40],
    [77, 25],
    [50, 10],
    [69.8, 21],
  ])('%d °F is %d °C', (fahrenheit, celsius) => {
    // 69.8 is no binary fraction: the last bit of its difference to 32 may be off
    expect(valuesOf(csv('°F', `${T},${fahrenheit}`))[0]).toBeCloseTo(celsius, fahrenheit === 69.8 ? 12 : 15);
  });

  test('273.15 K is 0 °C', () => {
    expect(valuesOf(csv('K', `${T},273.15`))).toEqual([0]);
  });

  test('a decimal comma: 21,5 in a file with semicolons is 21.5, and 1.234,5 is no number', () => {
    const { items } = readCsv(
      'time;air/temperature [°C]\n2026-06-01T10:00:00Z;21,5\n2026-06-01T10:01:00Z;1.234,5\n',
    );
    expect(pointsOf(items)).toEqual([{ probe: 'air/temperature', tMs: T_MS, value: 21.5 }]);
    expect(badOf(items)).toEqual([
      expect.stringMatching(/^3: .*"1\.234,5" is no number with a decimal comma/),
    ]);
  });

  test('7 ways to say that nothing was read are no readings and no bad rows', () => {
    const missing = ['', 'NA', 'n/a', 'NaN', 'null', '-', '---'];
    const { items } = readCsv(csv('°C', ...missing.map((cell) => `${T},${cell}`)));
    expect(pointsOf(items)).toEqual([]);
    expect(badOf(items)).toEqual([]);
    expect(items).toHaveLength(7);
  });

  test.each([
    [`${T},abc`, '"abc" is no number'],
    [`${T},0x10`, 'is no number'],
    [`${T},1e999`, 'is no number'],
    [`${T},900`, '-150 to 150 can be'],
    ['yesterday,20', 'expected an RFC 3339 time'],
    [`${T},20,30`, '3 cells; the header has 2'],
    [T, '1 cells; the header has 2'],
    ['1970-01-02T00:00:00Z,20', 'the earliest is'],
    ['2027-06-01T10:00:00Z,20', 'after its arrival'],
    [`${T},"20"x`, 'closing quote'],
  ])('the row %j is bad: %s, on line 3, and the rows beside it are read', (row, reason) => {
    const { items } = readCsv(csv('°C', `2026-06-01T09:59:00Z,20`, row, `2026-06-01T10:01:00Z,20`));
    expect(badOf(items)).toEqual([expect.stringContaining(reason)]);
    expect(badOf(items)[0]).toMatch(/^3: /);
    expect(pointsOf(items)).toHaveLength(2);
  });
});

describe('the shape of a CSV file', () => {
  test('rows with 1 cell more than the header begin with a row number, and that is said', () => {
    const { items, reader } = readCsv('"time","air/temperature [°C]"\n"1","2026-06-01T10:00:00Z",20\n');
    expect(pointsOf(items)).toHaveLength(1);
    expect(reader.plan()?.notes[0]).toContain('row number');
  });

  test('rows that end in a delimiter are read, and that is said', () => {
    const { items, reader } = readCsv('time,air/temperature [°C]\n2026-06-01T10:00:00Z,20,\n');
    expect(pointsOf(items)).toHaveLength(1);
    expect(reader.plan()?.notes[0]).toContain('end in a delimiter');
  });

  test(`of ${SAMPLE_ROWS * 3} rows none is lost around the ${SAMPLE_ROWS} that are looked at first`, () => {
    const rows = Array.from(
      { length: SAMPLE_ROWS * 3 },
      (_, i) => `${new Date(T_MS + i * 1_000).toISOString()},${i / 10}`,
    );
    expect(pointsOf(readCsv(csv('°C', ...rows)).items)).toHaveLength(SAMPLE_ROWS * 3);
  });

  test('while the zone of its times is not stated no row is given', () => {
    const { items, reader } = readCsv('time,air/temperature [°C]\n2026-06-01 10:00,20\n');
    expect(items).toEqual([]);
    expect(reader.plan()?.undecided).toHaveLength(1);
  });

  test('a wrong mapping is answered with what is wrong and with a proposal', () => {
    const { reader } = readCsv(csv('°C', `${T},20`), { mapping: 'time=time rfc3339; x=co2' });
    expect(reader.plan()).toMatchObject({
      mapping: null,
      undecided: [expect.stringContaining('no column "x"')],
      text: 'time=time rfc3339; air/temperature [°C]=air/temperature °C',
    });
  });

  test('a file without a row is reported as such', () => {
    expect(readCsv('\n\n').reader.plan()?.undecided).toEqual(['the file has no row']);
  });
});

describe('a file of SenML', () => {
  const record = (v: number, more: object = {}) => ({ n: 'air/temperature', u: 'Cel', v, ...more });
  const t = T_MS / 1_000;

  test.each([1, 3, 10_000])(
    'packs one a line, in one array, or over many lines are the same 4 readings, cut into %i',
    (pieceChars) => {
      const records = [0, 1, 2, 3].map((i) => record(20 + i, { t: t + i }));
      const texts = [
        `${JSON.stringify(records.slice(0, 2))}\n${JSON.stringify(records.slice(2))}\n`,
        JSON.stringify(records),
        `\uFEFF${JSON.stringify(records, null, 2)}\r\n`,
        records.map((one) => JSON.stringify([one])).join(''),
      ];
      const points = texts.map((text) => pointsOf(readSenml(text, {}, pieceChars).items));
      expect(points).toEqual(
        texts.map(() =>
          [0, 1, 2, 3].map((i) => ({ probe: 'air/temperature', tMs: T_MS + i * 1_000, value: 20 + i })),
        ),
      );
    },
  );

  test('1 array of 1,200 records keeps its base name, unit and time to the end', () => {
    const records = Array.from({ length: 1_200 }, (_, i) => ({ t: i, v: 20 + i / 100 }));
    const text = JSON.stringify([{ bn: 'bench/air/temperature', bu: 'Cel', bt: t }, ...records]);
    const points = pointsOf(readSenml(text).items);
    expect(points).toHaveLength(1_200);
    expect(points.at(-1)).toEqual({
      probe: 'air/temperature',
      tMs: T_MS + 1_199_000,
      value: 20 + 1_199 / 100,
    });
  });

  test('base fields of one pack do not reach into the next', () => {
    const text = `[{"bn":"bench/","bt":${t},"n":"air/temperature","u":"Cel","v":1}]\n[{"n":"air/temperature","u":"Cel","v":2}]`;
    expect(badOf(readSenml(text).items)).toEqual([expect.stringMatching(/^2: bad-time/)]);
  });

  test('brackets, quotes and commas within texts split nothing', () => {
    const text = JSON.stringify([{ ...record(20, { t }), note: '],[{"\\"' }, record(21, { t: t + 1 })]);
    expect(pointsOf(readSenml(text, {}, 1).items)).toHaveLength(2);
  });

  test.each([
    ['what is no array', '{"n":1}', '1: what stands here'],
    ['a pack that is cut off', `[${JSON.stringify(record(20, { t: 1 }))}`, '1: the pack is cut off'],
    ['a record of another device', JSON.stringify([record(20, { bn: 'other/', t })]), '1: other-device'],
    ['a bad field', JSON.stringify([record(20, { t: 'now' })]), '1: bad-field'],
    ['no JSON', '[{n:1}]', '1: not-json'],
    ['an empty pack', '[]', '1: not-a-pack'],
    ['a time far ahead', JSON.stringify([record(20, { t: NOW_MS / 1_000 + 301 })]), '1: time-in-future'],
  ])('%s is bad, on line 1, and the pack on line 2 is read', (_name, line, bad) => {
    const good = JSON.stringify([record(20, { t })]);
    const { items } = readSenml(bad.includes('cut off') ? `\n${line}` : `${line}\n${good}\n`);
    expect(badOf(items)[0]).toContain(bad.includes('cut off') ? bad.replace('1:', '2:') : bad);
    expect(pointsOf(items)).toHaveLength(bad.includes('cut off') ? 0 : 1);
  });
});
