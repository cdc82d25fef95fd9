import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { expect, test } from 'vitest';
import { ACCEPTED_UNITS } from '../../../../firmware-contracts/v1/units.ts';
import { decodePack } from '../../../../server/domain/ingest/decode.ts';
import { PROBE_QUANTITIES } from '../../../../shared/quantities.ts';
import { answersOf, compiled } from '../../../support/c-program.ts';
import { integersFrom } from '../../../support/integers.ts';
import { EXAMPLE_ARRIVED_AT_MS, EXAMPLE_TOPIC } from '../examples.ts';

const file = compiled({ reference: ['strikewell.c'], support: 'encode.c' });
const fits = new Ajv2020({ strictTypes: false }).compile(
  JSON.parse(
    readFileSync(new URL('../../../../firmware-contracts/v1/readings.schema.json', import.meta.url), 'utf8'),
  ),
);

/** By the order of the results in strikewell.h. */
const RESULTS =
  'ok full too-many-records bad-name other-device unit-unknown unit-unfit out-of-range bad-time unsupported-value no-value'.split(
    ' ',
  );
const resultOf = (answer: string | undefined): string => RESULTS[Number(answer?.split(' ')[0])] ?? 'none';
const EIGHT = Date.UTC(2026, 2, 4, 8);

type Call =
  | readonly ['m', string, string, number, number, number]
  | readonly ['s', string, 0 | 1, number, number];
const lineOf = (call: Call): string => call.join('\t');

function encode(calls: readonly Call[], size = 65_536): { results: string[]; end: string; payload: string } {
  const answers = answersOf({ file, args: [String(size)], lines: [...calls.map(lineOf), 'e'] });
  const last = answers.at(-1) ?? '';
  return {
    results: answers.slice(0, -1).map(resultOf),
    end: resultOf(last),
    payload: last.includes(' ') ? last.slice(last.indexOf(' ') + 1) : '',
  };
}

const decode = (payload: string) =>
  decodePack({
    topic: EXAMPLE_TOPIC,
    payload: new TextEncoder().encode(payload),
    arrivedAtMs: EXAMPLE_ARRIVED_AT_MS,
    retainedCopy: false,
  });

test('5 records with a negative, a fraction of 1/1000, a switch and 3 times are written byte for byte as SenML', () => {
  const { results, payload } = encode([
    ['m', 'root/temperature', 'Cel', 23_400, EIGHT, 60],
    ['m', 'outside/temperature/2', 'Cel', -5, EIGHT, 0],
    ['s', 'mist/valve', 1, EIGHT + 250, 0],
    ['m', 'air/humidity', '%RH', 90_000, -60_000, 0],
    ['m', 'counter', '', 7_000, 0, 0],
  ]);
  expect(results).toEqual(['ok', 'ok', 'ok', 'ok', 'ok']);
  // By hand from RFC 8428 section 4 and the contract; 1772611200 is 2026-03-04 08:00 UTC (GNU date).
  expect(payload).toBe(
    '[{"bt":1772611200,"n":"root/temperature","u":"Cel","v":23.4,"ut":60}' +
      ',{"n":"outside/temperature/2","u":"Cel","v":-0.005}' +
      ',{"bt":1772611200.25,"n":"mist/valve","vb":true}' +
      ',{"bt":-60,"n":"air/humidity","u":"%RH","v":90}' +
      ',{"bt":0,"n":"counter","v":7}]',
  );
});

test.each<[string, Call]>([
  ['bad-name', ['m', '', 'Cel', 1000, 0, 0]],
  ['bad-name', ['m', 'root temperature', 'Cel', 1000, 0, 0]],
  ['bad-name', ['m', 'x'.repeat(97), '', 1000, 0, 0]],
  ['other-device', ['m', 'bench-2/root/temperature', 'Cel', 1000, 0, 0]],
  ['unit-unknown', ['m', 'root/temperature', 'degC', 1000, 0, 0]],
  ['unit-unfit', ['m', 'root/temperature', 'C', 1000, 0, 0]],
  ['unit-unfit', ['m', 'root/temperature', '', 1000, 0, 0]],
  ['out-of-range', ['m', 'air/humidity', '%RH', 105_001, 0, 0]],
  ['out-of-range', ['m', 'root/temperature', 'Cel', -150_001, 0, 0]],
  ['bad-time', ['m', 'root/temperature', 'Cel', 1000, 268_435_455_999, 0]],
  ['bad-time', ['m', 'root/temperature', 'Cel', 1000, 1, 0]],
  ['unsupported-value', ['s', 'root/temperature', 1, 0, 0]],
])(
  'what the daemon would refuse as %s is refused, and the pack goes on as if it had not been',
  (code, call) => {
    const { results, payload } = encode([['m', 'door', '', 1000, 0, 0], call, ['m', 'gate', '', 2000, 0, 0]]);
    expect(results).toEqual(['ok', code, 'ok']);
    expect(payload).toBe('[{"n":"door","v":1},{"n":"gate","v":2}]');
  },
);

test('the 501st record is refused, and 500 are a pack', () => {
  const calls = Array.from({ length: 501 }, (_, at): Call => ['m', 'counter', '', at * 1000, -1000 * at, 0]);
  const { results, payload } = encode(calls);
  expect(results.slice(-2)).toEqual(['ok', 'too-many-records']);
  expect(JSON.parse(payload)).toHaveLength(500);
  expect(decode(payload).ok).toBe(true);
});

test('in buffers of 0 to 260 bytes 4 records give a whole pack of those that fit, and nothing is written past the end', () => {
  const calls: Call[] = [1, 2, 3, 4].map((at) => ['m', `root/temperature/${at}`, 'Cel', 21_125, EIGHT, 60]);
  for (let size = 0; size <= 260; size += 13) {
    const { results, end, payload } = encode(calls, size);
    const fitted = results.filter((result) => result === 'ok').length;
    expect(end).toBe(fitted === 0 ? 'no-value' : 'ok');
    if (fitted > 0) expect(JSON.parse(payload)).toHaveLength(fitted);
    expect(payload.length).toBeLessThan(Math.max(1, size));
  }
});

const NAMES = [
  ...Object.keys(PROBE_QUANTITIES),
  'root/temperature/2',
  'air/humidity/0',
  'air/humidity/1234567890',
  'a/air/humidity',
  'bench-1',
  'soil/moisture',
  '_x',
  'x y',
  'light/ppfd/',
  '/air/temperature',
  'A:b',
  '"',
  'é',
];
const UNITS = ['', ...ACCEPTED_UNITS, 'cel', 'degC', 'el', 'm s'];
const VALUES = [
  0,
  1,
  -1,
  999,
  1000,
  1001,
  20_000,
  100_001,
  105_000,
  150_000,
  -150_001,
  200_000_001,
  2 ** 31 - 1,
  -(2 ** 31),
];
const TIMES = [
  0,
  -1,
  -60_000,
  -1_000_000_000_000,
  -1_000_000_000_001,
  5,
  EIGHT,
  EIGHT + 1,
  EIGHT + 999,
  268_435_456_000,
];

test('of 20000 drawn records (seed 7) every one that is written, the decoder stores with that value to 1/1000 and that time to the ms', () => {
  const below = integersFrom(7);
  const one = <T>(list: readonly T[]): T => list[below(list.length)] as T;
  const calls = Array.from({ length: 20_000 }, (): Call => {
    const name = one(NAMES);
    if (below(10) === 0) return ['s', name, below(2) === 0 ? 0 : 1, one(TIMES), below(100)];
    const known = Object.entries(PROBE_QUANTITIES).find(([known]) => name.startsWith(known));
    const unit = known !== undefined && below(4) > 0 ? known[1].unitCode : one(UNITS);
    return ['m', name, unit, one(VALUES), one(TIMES), below(100)];
  });
  const answers = answersOf({ file, args: ['512'], lines: calls.flatMap((call) => [lineOf(call), 'e']) });
  const counts = { written: 0, refused: 0 };
  for (const [at, call] of calls.entries()) {
    const [wrote, ended = ''] = answers.slice(2 * at, 2 * at + 2);
    if (resultOf(wrote) !== 'ok') {
      counts.refused += 1;
      continue;
    }
    counts.written += 1;
    const payload = ended.slice(2);
    const decoded = decode(payload);
    const [value, tMs] = call[0] === 'm' ? [call[3] / 1000, call[4]] : [call[2], call[3]];
    expect(decoded, payload).toMatchObject({
      ok: true,
      // 1e-6: the same decimal text on both sides, so only the doubles' spacing near 2e6 remains.
      readings: [{ value: expect.closeTo(value, 6), tMs: tMs > 0 ? tMs : EXAMPLE_ARRIVED_AT_MS + tMs }],
    });
    expect(fits(JSON.parse(payload)), payload).toBe(true);
  }
  expect(counts.written).toBeGreaterThan(3_000);
  expect(counts.refused).toBeGreaterThan(3_000);
});
