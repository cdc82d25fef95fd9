import fc from 'fast-check';
import { expect, test } from 'vitest';
import { decodeGroup, encodeGroup } from '../../../../../server/domain/seal/group.ts';
import type { Reading } from '../../../../../shared/model/probes/probe.ts';
import { anyValue, HOUR_START_MS } from './arbitraries.ts';

const anyReading: fc.Arbitrary<Reading> = fc.record({
  probeId: fc.oneof(fc.integer({ min: 0, max: 40 }), fc.integer({ min: 0, max: 2 ** 31 - 1 })),
  tMs: fc.oneof(
    fc.integer({ min: HOUR_START_MS, max: HOUR_START_MS + 10_000 }),
    fc.integer({ min: 0, max: 4_102_444_800_000 }),
    fc.maxSafeInteger(),
  ),
  value: anyValue,
});

test('whatever 1 to 80 readings are committed together come back bit for bit and in their order', () => {
  fc.assert(
    fc.property(fc.array(anyReading, { minLength: 1, maxLength: 80 }), (readings) => {
      const decoded = decodeGroup(encodeGroup(readings));
      expect(decoded).toEqual(readings);
      // toEqual tells −0 from 0; said once more for the reader.
      expect(decoded.map(({ value }) => Object.is(value, -0))).toEqual(
        readings.map(({ value }) => Object.is(value, -0)),
      );
    }),
    { numRuns: 1000 },
  );
});

test('20 readings of 20 chips within 50 ms take at most 5 bytes each, all else included', () => {
  const readings = Array.from({ length: 20 }, (_, i) => ({
    probeId: i + 1,
    tMs: HOUR_START_MS + ((i * 7) % 50),
    value: [21.06 + i, 23.0625 + i, 85.37 - i, 45_678 + i][i % 4] as number,
  })).map((reading) => ({ ...reading, value: Number(reading.value.toFixed(4)) }));
  expect(encodeGroup(readings).length).toBeLessThanOrEqual(100);
});

test.each([
  ['no reading', []],
  ['a probe id of -1', [{ probeId: -1, tMs: 0, value: 1 }]],
  ['a probe id of 2^31', [{ probeId: 2 ** 31, tMs: 0, value: 1 }]],
  ['a time of half a ms', [{ probeId: 1, tMs: 0.5, value: 1 }]],
  ['a value that is not a number', [{ probeId: 1, tMs: 0, value: Number.NaN }]],
])('%s makes no group', (_, readings) => {
  expect(() => encodeGroup(readings)).toThrow(RangeError);
});

// Counted from the format: version and number 2, id 1, time 0 in two halves 2, code 1, 4212 in 2, checksum 4.
test('1 reading of 21.06 at time 0 takes 12 bytes', () => {
  expect(encodeGroup([{ probeId: 3, tMs: 0, value: 21.06 }]).length).toBe(12);
});
