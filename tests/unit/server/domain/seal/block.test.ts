import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  blockHeader,
  decodeBlock,
  decodeBlockInto,
  encodeBlock,
} from '../../../../../server/domain/seal/block.ts';
import { BlockDamaged } from '../../../../../server/domain/seal/damaged.ts';
import { anyRecord, HOUR_START_MS } from './arbitraries.ts';

const record = (afterMs: readonly number[], values: readonly number[]) => ({
  timesMs: Float64Array.from(afterMs, (ms) => HOUR_START_MS + ms),
  values: Float64Array.from(values),
});

/** 360 readings at 10 s of a slow swing with a wobble of a few steps that never repeats. */
const hourOf = (stepsPerUnit: number) =>
  record(
    Array.from({ length: 360 }, (_, i) => i * 10_000),
    Array.from(
      { length: 360 },
      (_, i) => Math.round((22 + Math.sin(i / 60)) * stepsPerUnit + 3 * Math.sin(i * i)) / stepsPerUnit,
    ),
  );

// Typed arrays of doubles are compared as 64-bit patterns, so that −0 is not 0.
const bits = (values: Float64Array) => new BigUint64Array(values.slice().buffer);

test('whatever is sealed, 1 to 360 readings of any finite values at any whole ms, comes back bit for bit', () => {
  fc.assert(
    fc.property(anyRecord, (sealed) => {
      const block = encodeBlock(sealed);
      const { timesMs, values } = decodeBlock(block);
      expect(bits(timesMs)).toEqual(bits(sealed.timesMs));
      expect(bits(values)).toEqual(bits(sealed.values));
      expect(blockHeader(block)).toMatchObject({
        version: 1,
        bytes: block.length,
        count: sealed.timesMs.length,
        firstMs: sealed.timesMs[0],
        lastMs: sealed.timesMs.at(-1),
      });
    }),
    { numRuns: 1500 },
  );
});

test('the same readings give the same bytes, so sealing twice changes nothing', () => {
  fc.assert(
    fc.property(anyRecord, (sealed) => {
      expect(encodeBlock(decodeBlock(encodeBlock(sealed)))).toEqual(encodeBlock(sealed));
    }),
  );
});

test.each([
  [1, [1200, 0, 119_999]],
  [10, [85.3, 0, -0.1]],
  [16, [23.0625, 22.9375]],
  [100, [21.06, -40.5]],
  [128, [25.0078125, 24.9921875]],
  [1000, [101.325, 0.001]],
  [10_000, [23.4567, 0]],
  [1_000_000, [23.456789, 1e-6]],
  [null, [21.5, 0.1 + 0.2]],
  [null, [5e-324, Number.MAX_VALUE]],
  [null, [2 ** 30, 1]],
])('the coarsest grid that is exact has %s steps a unit for %j', (stepsPerUnit, values) => {
  const sealed = record(
    values.map((_, i) => i),
    values,
  );
  expect(blockHeader(encodeBlock(sealed)).stepsPerUnit).toBe(stepsPerUnit);
  expect(decodeBlock(encodeBlock(sealed))).toEqual(sealed);
});

test('a night of 0 and -0 stays on the grid of tenths and keeps each sign', () => {
  const sealed = record([0, 10_000, 20_000, 30_000], [0, -0, 0.1, -0]);
  const block = encodeBlock(sealed);
  expect(blockHeader(block).stepsPerUnit).toBe(10);
  expect([...decodeBlock(block).values].map((value) => Object.is(value, -0))).toEqual([
    false,
    true,
    false,
    true,
  ]);
});

// Steps of a wobble of ±3 around a slow swing fit 5 bits: 0.63 bytes, and 26 of header over 360 readings are 0.07.
test.each([10, 16, 100])(
  'an hour at 10 s with a wobble of 3 of its 1/%i steps takes under 0.85 bytes a reading',
  (stepsPerUnit) => {
    expect(encodeBlock(hourOf(stepsPerUnit)).length).toBeLessThan(0.85 * 360);
  },
);

test('1 reading of 360 that is an outlier, and 1 that is missing, cost less than 150 bytes together', () => {
  const even = hourOf(100);
  const odd = record(
    [...even.timesMs].filter((_, i) => i !== 100).map((ms) => ms - HOUR_START_MS),
    [...even.values].filter((_, i) => i !== 100).map((value, i) => (i === 200 ? 85 : value)),
  );
  expect(encodeBlock(odd).length - encodeBlock(even).length).toBeLessThan(150);
  expect(decodeBlock(encodeBlock(odd))).toEqual(odd);
});

test('a block is decoded into the middle of a longer record, from place 5 to 365, and nothing else is touched', () => {
  const sealed = hourOf(100);
  const into = { timesMs: new Float64Array(370).fill(7), values: new Float64Array(370).fill(7) };
  expect(decodeBlockInto(encodeBlock(sealed), { ...into, at: 5 })).toBe(365);
  expect(into.timesMs).toEqual(Float64Array.of(7, 7, 7, 7, 7, ...sealed.timesMs, 7, 7, 7, 7, 7));
  expect(into.values).toEqual(Float64Array.of(7, 7, 7, 7, 7, ...sealed.values, 7, 7, 7, 7, 7));
});

test('a block of 360 readings is not decoded into room for 359', () => {
  const into = { timesMs: new Float64Array(364), values: new Float64Array(364), at: 5 };
  expect(() => decodeBlockInto(encodeBlock(hourOf(100)), into)).toThrow(RangeError);
});

test('a block is read from the middle of a larger buffer, as a database hands it out', () => {
  const block = encodeBlock(hourOf(100));
  const larger = new Uint8Array(block.length + 20).fill(255);
  larger.set(block, 9);
  expect(decodeBlock(larger.subarray(9, 9 + block.length))).toEqual(hourOf(100));
});

test.each([
  ['no reading', [], []],
  ['a time of half a ms', [0.5], [1]],
  ['a time twice', [1, 1], [1, 2]],
  ['a time that goes back', [2, 1], [1, 2]],
  ['1 value for 2 times', [1, 2], [1]],
  ['a value that is not a number', [1], [Number.NaN]],
  ['a value without end', [1], [Number.POSITIVE_INFINITY]],
  ['a span of 25 days', [0, 25 * 86_400_000], [1, 2]],
])('%s is not sealed', (_, afterMs, values) => {
  expect(() => encodeBlock(record(afterMs, values))).toThrow(RangeError);
});

test('the message of a block cut off after 200 bytes names the checksum, that of 10 bytes their number', () => {
  const block = encodeBlock(hourOf(100));
  expect(() => decodeBlock(block.subarray(0, 200))).toThrow(BlockDamaged);
  expect(() => decodeBlock(block.subarray(0, 200))).toThrow(/^checksum [0-9a-f]{8}; expected [0-9a-f]{8}$/);
  expect(() => decodeBlock(block.subarray(0, 10))).toThrow('10 bytes; expected 26 or more');
});

test.each([[3600], [3601], [5000]])(
  '%i readings in a block come back whole, on a grid and as floats',
  (count) => {
    const afterMs = Array.from({ length: count }, (_, i) => i * 700 + (i % 3));
    for (const divisor of [100, 7]) {
      const sealed = record(
        afterMs,
        afterMs.map((_, i) => ((i * i) % 977) / divisor),
      );
      expect(decodeBlock(encodeBlock(sealed))).toEqual(sealed);
    }
  },
);

// Counted from the format: header 22, times 0 and the base 10,000 in 1 + 3, grain and width 1 + 1, values 2 + 1 + 1 + 1, checksum 4.
test('2 readings of 21.06 and 21.07 take 37 bytes', () => {
  expect(encodeBlock(record([0, 10_000], [21.06, 21.07])).length).toBe(37);
});
