import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { encodeBlock } from '../../../../../server/domain/seal/block.ts';
import { BlockDamaged } from '../../../../../server/domain/seal/damaged.ts';
import {
  checkHour,
  decodeMinutes,
  encodeMinutes,
  holdsMinutes,
  rollUp,
} from '../../../../../server/domain/seal/minutes.ts';

const MINUTE_MS = 60_000;
const record = (points: readonly (readonly [tMs: number, value: number])[]) => ({
  timesMs: Float64Array.from(points, ([tMs]) => tMs),
  values: Float64Array.from(points, ([, value]) => value),
});

describe('readings rolled up to minutes', () => {
  test('20 °C at 0 s, 22 at 10 s and 22 at 40 s have a mean of 21.75, by hand, lie at 20 s, and keep their extremes', () => {
    // by hand: 21 for 10 s and 22 for 30 s are 870 / 40 = 21.75; kept in steps of 2/255
    const { timesMs, means, mins, maxs } = rollUp(
      record([
        [0, 20],
        [10_000, 22],
        [40_000, 22],
      ]),
    );
    expect([...timesMs, ...mins, ...maxs]).toEqual([20_000, 20, 22]);
    expect(Math.abs((means[0] ?? 0) - 21.75)).toBeLessThanOrEqual(1 / 255);
  });

  test('one reading is its own minute, and 2 minutes without any have no entry', () => {
    const { timesMs, means, mins, maxs } = rollUp(
      record([
        [1_234, 19.5],
        [3 * MINUTE_MS + 7, 21],
      ]),
    );
    expect([...timesMs]).toEqual([1_234, 3 * MINUTE_MS + 7]);
    for (const column of [means, mins, maxs]) expect([...column]).toEqual([19.5, 21]);
  });
});

const hour = fc
  .uniqueArray(fc.record({ tMs: fc.nat(3_599_999), tenths: fc.integer({ min: -400, max: 1_000 }) }), {
    selector: ({ tMs }) => tMs,
    minLength: 1,
    maxLength: 360,
  })
  .map((all) => all.toSorted((a, b) => a.tMs - b.tMs).map(({ tMs, tenths }) => [tMs, tenths / 10] as const));

test('minutes come back bit for bit from their bytes, and never leave the range of their readings', () => {
  fc.assert(
    fc.property(hour, (points) => {
      const minutes = rollUp(record(points));
      const bytes = encodeMinutes(minutes);
      expect(decodeMinutes(bytes)).toEqual(minutes);
      expect(holdsMinutes(bytes)).toBe(true);
      expect(holdsMinutes(encodeBlock(record(points)))).toBe(false);
      checkHour(bytes);
      const values = points.map(([, value]) => value);
      expect(Math.min(...minutes.mins)).toBe(Math.min(...values));
      expect(Math.max(...minutes.maxs)).toBe(Math.max(...values));
      minutes.means.forEach((mean, i) => {
        expect(mean).toBeGreaterThanOrEqual(minutes.mins[i] ?? 0);
        expect(mean).toBeLessThanOrEqual(minutes.maxs[i] ?? 0);
      });
    }),
    { numRuns: 200 },
  );
});

test('cut anywhere, or with any one of its first 60 bytes altered, minutes are damaged and not other minutes', () => {
  const minutes = rollUp(record(Array.from({ length: 360 }, (_, k) => [k * 10_000, 20 + (k % 7) / 10])));
  const bytes = encodeMinutes(minutes);
  for (let length = 1; length < bytes.length; length += 1)
    expect(() => decodeMinutes(bytes.subarray(0, length))).toThrow(BlockDamaged);
  for (let at = 1; at < 60; at += 1) {
    const altered = bytes.slice();
    altered[at] = (altered[at] ?? 0) ^ 0x55;
    expect(() => decodeMinutes(altered)).toThrow(BlockDamaged);
  }
});

test('minutes of values at the ends of what a number can be are finite, within their range, and come back bit for bit', () => {
  const most = Number.MAX_VALUE;
  const timesMs = Float64Array.of(0, 10_000, 20_000, 60_000, 70_000, 80_000, 120_000, 125_000);
  const values = Float64Array.of(most, most, -most, -most, 1, most, most / 100, -most / 3);
  const minutes = rollUp({ timesMs, values });
  minutes.means.forEach((mean, i) => {
    expect(mean).toBeGreaterThanOrEqual(minutes.mins[i] as number);
    expect(mean).toBeLessThanOrEqual(minutes.maxs[i] as number);
  });
  expect(decodeMinutes(encodeMinutes(minutes))).toEqual(minutes);
});
