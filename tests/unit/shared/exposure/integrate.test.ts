import { describe, expect, test } from 'vitest';
import { WIDE_OPEN } from '../../../../shared/exposure/bands.ts';
import { bandExposure, excessOver } from '../../../../shared/exposure/integrate.ts';
import { sumOver } from '../../../../shared/exposure/sums.ts';
import { BASE_MS, HOUR_MS, hours, segmentsFrom } from './support.ts';

// toBeCloseTo(x, 9) below: 5e-10 h is rounding of doubles only; every expected value is exact by hand.
const band = (from: number, to: number, low: number | null, high: number | null) => ({
  ...hours(from, to),
  low,
  high,
});

describe('24 to 28 °C over 2 h', () => {
  const rise = segmentsFrom([0, 24, 2, 28]);

  test('against 25 it spends 1.5 h and 2.25 °C·h above', () => {
    // Reaches 25 after (25 − 24) / (28 − 24) × 2 h = 0.5 h; triangle 1.5 h × 3 K / 2 = 2.25.
    const exposure = bandExposure(rise, [band(0, 2, null, 25)], hours(0, 2));
    expect(exposure).toEqual({
      coveredHours: 2,
      hoursBelow: 0,
      hoursWithin: 0.5,
      hoursAbove: 1.5,
      unitHoursBelow: 0,
      unitHoursAbove: 2.25,
      min: 24,
      max: 28,
      mean: 26,
    });
  });

  test('against 25–27 it spends 0.5 h below, 1 h within and 0.5 h above, 0.25 °C·h out on each side', () => {
    // Two triangles of 0.5 h × 1 K / 2.
    expect(bandExposure(rise, [band(0, 2, 25, 27)], hours(0, 2))).toMatchObject({
      hoursBelow: 0.5,
      hoursWithin: 1,
      hoursAbove: 0.5,
      unitHoursBelow: 0.25,
      unitHoursAbove: 0.25,
    });
  });

  test('a window of 0:30 to 1:30 cuts it to 25 → 27', () => {
    const exposure = bandExposure(rise, [band(0, 2, 26, null)], hours(0.5, 1.5));
    // 25 → 26 in 0.5 h below 26: 0.5 × 1 / 2.
    expect(exposure).toMatchObject({ coveredHours: 1, hoursBelow: 0.5, unitHoursBelow: 0.25 });
    expect([exposure.min, exposure.max, exposure.mean]).toEqual([25, 27, 26]);
  });

  test('a band switch at 1:00 from 25 to 27 splits it there', () => {
    // Until 1:00: 24 → 26, above 25 for 0.5 h, 0.5 × 1 / 2 = 0.25. After: 26 → 28, above 27 for 0.5 h, 0.25.
    const exposure = bandExposure(rise, [band(0, 1, null, 25), band(1, 2, null, 27)], hours(0, 2));
    expect(exposure).toMatchObject({ coveredHours: 2, hoursAbove: 1, hoursWithin: 1, unitHoursAbove: 0.5 });
  });

  test('a target changed at 0:18, mid-hour, counts each part against its own band', () => {
    // At 0:18 (0.3 h) it is 24.6. Before, above 24: 0.3 h, 0.3 × 0.6 / 2 = 0.09. After, below 25: 24.6 → 25
    // takes 0.2 h, 0.2 × 0.4 / 2 = 0.04; above 25: 1.5 h, 2.25.
    const exposure = bandExposure(rise, [band(0, 0.3, null, 24), band(0.3, 2, 25, 25)], hours(0, 2));
    expect(exposure.hoursBelow).toBeCloseTo(0.2, 9);
    expect(exposure.unitHoursBelow).toBeCloseTo(0.04, 9);
    expect(exposure.hoursAbove).toBeCloseTo(1.8, 9);
    expect(exposure.unitHoursAbove).toBeCloseTo(2.34, 9);
    expect(exposure.hoursWithin).toBeCloseTo(0, 9);
  });

  test('split at midnight, 22:00 to 02:00 from 24 to 28 gives 0.5 and 4 °C·h above 25, together 4.5', () => {
    const night = segmentsFrom([22, 24, 26, 28]);
    const above = (from: number, to: number) =>
      bandExposure(night, [band(22, 26, null, 25)], hours(from, to)).unitHoursAbove;
    expect([above(22, 24), above(24, 26), above(22, 26)]).toEqual([0.5, 4, 4.5]);
  });
});

test('28 to 24 °C over 2 h against 25 spends the same 1.5 h and 2.25 °C·h above', () => {
  const fall = segmentsFrom([0, 28, 2, 24]);
  expect(bandExposure(fall, [band(0, 2, null, 25)], hours(0, 2))).toMatchObject({
    hoursAbove: 1.5,
    unitHoursAbove: 2.25,
  });
});

test('a constant 25 within 25–25 is within for all of 3 h', () => {
  const steady = segmentsFrom([0, 25, 3, 25]);
  expect(bandExposure(steady, [band(0, 3, 25, 25)], hours(0, 3))).toMatchObject({
    hoursBelow: 0,
    hoursWithin: 3,
    hoursAbove: 0,
    mean: 25,
  });
});

test('a constant 27 is above 25 for 3 h and 6 °C·h, below 30 for 3 h and 9 °C·h', () => {
  const steady = segmentsFrom([0, 27, 3, 27]);
  expect(bandExposure(steady, [band(0, 3, null, 25)], hours(0, 3))).toMatchObject({
    hoursAbove: 3,
    unitHoursAbove: 6,
  });
  expect(bandExposure(steady, [band(0, 3, 30, null)], hours(0, 3))).toMatchObject({
    hoursBelow: 3,
    unitHoursBelow: 9,
  });
});

test('touching a limit of 25 at its peak spends 0 h above', () => {
  const peak = segmentsFrom([0, 20, 1, 25], [1, 25, 2, 20]);
  expect(bandExposure(peak, [band(0, 2, null, 25)], hours(0, 2))).toMatchObject({
    hoursAbove: 0,
    unitHoursAbove: 0,
    hoursWithin: 2,
  });
});

test('the mean of a constant 21.3 °C over pieces of 10007, 17926 and 25845 ms is 21.3 to the last bit', () => {
  // Plain summing gives 21.299999999999997, which would lie below the least value.
  const endsMs = [10_007, 27_933, 53_778];
  const steady = segmentsFrom(
    ...endsMs.map((endMs, i) => [(endsMs[i - 1] ?? 0) / HOUR_MS, 21.3, endMs / HOUR_MS, 21.3] as const),
  );
  expect(bandExposure(steady, [band(0, 1, null, null)], hours(0, 1)).mean).toBe(21.3);
});

test('18 → 22.5 °C in 1 min through a band of 22 to 22 spends exactly 0 h within, not a hair less', () => {
  const rise = segmentsFrom([0, 18, 1 / 60, 22.5]);
  expect(bandExposure(rise, [band(0, 1, 22, 22)], hours(0, 1)).hoursWithin).toBe(0);
});

test('with nothing covered hours are 0 and min, max and mean are null', () => {
  const exposure = bandExposure(segmentsFrom([0, 20, 1, 20]), [band(1, 2, 18, 24)], hours(1, 2));
  expect(exposure).toMatchObject({ coveredHours: 0, hoursWithin: 0, min: null, max: null, mean: null });
});

test('from is held and to is not: of a step from 20 to 30 at 1:00 each hour sees its own side', () => {
  const step = segmentsFrom([0, 20, 1, 20], [1, 30, 2, 30]);
  const of = (from: number, to: number) => bandExposure(step, [band(0, 2, null, 25)], hours(from, to));
  expect(of(0, 1)).toMatchObject({ max: 20, hoursAbove: 0 });
  expect(of(1, 2)).toMatchObject({ min: 30, hoursAbove: 1, unitHoursAbove: 5 });
});

test('an empty window of 0 h gives 0 covered hours', () => {
  const exposure = bandExposure(segmentsFrom([0, 20, 2, 20]), [band(0, 2, 18, 24)], hours(1, 1));
  expect(exposure).toMatchObject({ coveredHours: 0, mean: null });
});

test.each([
  ['no band at all', [], hours(0, 2)],
  ['bands that start 1 h late', [band(1, 2, 18, 24)], hours(0, 2)],
  ['bands that end 1 h early', [band(0, 1, 18, 24)], hours(0, 2)],
  ['a hole of 1 h', [band(0, 1, 18, 24), band(2, 3, 18, 24)], hours(0, 3)],
  ['an overlap of 1 h', [band(0, 2, 18, 24), band(1, 3, 18, 24)], hours(0, 3)],
  ['a piece of 0 h', [band(0, 0, 18, 24), band(0, 3, 18, 24)], hours(0, 3)],
  ['low 24 above high 18', [band(0, 3, 24, 18)], hours(0, 3)],
  ['a limit that is NaN', [band(0, 3, Number.NaN, 18)], hours(0, 3)],
  ['a window that ends 1 h before it starts', [band(0, 3, 18, 24)], hours(2, 1)],
])('%s is refused', (_, pieces, window) => {
  expect(() => bandExposure(segmentsFrom([0, 20, 2, 20]), pieces, window)).toThrow(RangeError);
});

describe('over a ceiling', () => {
  test('of 26.7, 24.7 → 28.7 over 2 h spends 1 h and 1 °C·h', () => {
    const rise = segmentsFrom([0, 24.7, 2, 28.7]);
    const over = excessOver(rise, [{ ...hours(0, 2), limit: 26.7 }], hours(0, 2));
    expect(over.coveredHours).toBe(2);
    expect(over.hoursOver).toBeCloseTo(1, 9);
    expect(over.unitHoursOver).toBeCloseTo(1, 9);
  });

  test('that exists only in the second hour, 30 against 26 spends 1 h and 4 °C·h', () => {
    const limits = [
      { ...hours(0, 1), limit: null },
      { ...hours(1, 2), limit: 26 },
    ];
    expect(excessOver(segmentsFrom([0, 30, 2, 30]), limits, hours(0, 2))).toEqual({
      coveredHours: 2,
      hoursOver: 1,
      unitHoursOver: 4,
    });
  });
});

test('light: 0 → 400 µmol m⁻² s⁻¹ over 6 h and back is 8.64 mol m⁻²; the first quarter 1.08', () => {
  // Triangle 12 h × 400 / 2 = 2400 µmol·h × 3600 s = 8.64e6 µmol. First 6 h: half. To 3 h: a quarter of that.
  const day = segmentsFrom([6, 0, 12, 400], [12, 400, 18, 0]);
  // Areas are in µmol m⁻² s⁻¹ times ms.
  expect(sumOver(day, WIDE_OPEN, hours(0, 24))).toMatchObject({ coveredMs: 12 * HOUR_MS, area: 8.64e9 });
  expect(sumOver(day, WIDE_OPEN, hours(0, 9))).toMatchObject({ coveredMs: 3 * HOUR_MS, area: 1.08e9 });
});

test('times of today lose nothing: 1 ms of 1000 °C above 0 is 1/3600 °C·h', () => {
  const instant = segmentsFrom([0, 1000, 1 / HOUR_MS, 1000]);
  expect(instant.endMs[0]).toBe(BASE_MS + 1);
  const exposure = bandExposure(instant, [band(0, 1, null, 0)], hours(0, 1));
  expect(exposure.unitHoursAbove).toBeCloseTo(1 / 3600, 15);
});
