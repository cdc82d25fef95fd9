import fc from 'fast-check';
import { expect, test } from 'vitest';
import { WIDE_OPEN } from '../../../../shared/exposure/bands.ts';
import { extremeOf } from '../../../../shared/exposure/extreme.ts';
import type { Segments } from '../../../../shared/exposure/series.ts';
import { sumOver } from '../../../../shared/exposure/sums.ts';

/** Pieces of ten that follow each other, with a gap after every third. */
function segmentsOf(values: readonly (readonly [number, number])[]): Segments {
  const starts = values.map((_, i) => i * 10 + Math.floor(i / 3) * 5);
  return {
    count: values.length,
    startMs: Float64Array.from(starts),
    endMs: Float64Array.from(starts.map((ms) => ms + 10)),
    startValue: Float64Array.from(values.map(([from]) => from)),
    endValue: Float64Array.from(values.map(([, to]) => to)),
  };
}

const rising = segmentsOf([[20, 30]]);

test('of a rise from 20 to 30 within 10 ms, cut at 4 and 6 ms, the highest is 26 at 6 ms and the lowest 24 at 4 ms', () => {
  const window = { fromMs: 4, toMs: 6 };
  expect(extremeOf(rising, window, 'highest')).toEqual({ value: 26, atMs: 6 });
  expect(extremeOf(rising, window, 'lowest')).toEqual({ value: 24, atMs: 4 });
});

test('of a value that was reached twice the first time counts, and of nothing covered there is none', () => {
  const twice = segmentsOf([
    [1, 5],
    [5, 1],
    [1, 5],
  ]);
  expect(extremeOf(twice, { fromMs: 0, toMs: 100 }, 'highest')).toEqual({ value: 5, atMs: 10 });
  expect(extremeOf(rising, { fromMs: 50, toMs: 60 }, 'highest')).toBeNull();
});

test('is as high and as low as the sums of the same window say, whatever the pieces', () => {
  const value = fc.double({ min: -40, max: 60, noNaN: true });
  fc.assert(
    fc.property(
      fc.array(fc.tuple(value, value), { minLength: 1, maxLength: 12 }),
      fc.integer({ min: -5, max: 80 }),
      fc.integer({ min: 1, max: 90 }),
      (values, fromMs, lastsMs) => {
        const segments = segmentsOf(values);
        const window = { fromMs, toMs: fromMs + lastsMs };
        const { min, max, coveredMs } = sumOver(segments, WIDE_OPEN, window);
        const [highest, lowest] = (['highest', 'lowest'] as const).map((side) =>
          extremeOf(segments, window, side),
        );
        if (coveredMs === 0) {
          expect([highest, lowest]).toEqual([null, null]);
          return;
        }
        expect(highest?.value).toBeCloseTo(max, 9);
        expect(lowest?.value).toBeCloseTo(min, 9);
      },
    ),
  );
});
