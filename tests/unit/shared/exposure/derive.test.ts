import { expect, test } from 'vitest';
import { DEFAULT_MAX_GAP_MS } from '../../../../shared/exposure/coverage.ts';
import { derivedCurve } from '../../../../shared/exposure/derive.ts';
import { bandExposure } from '../../../../shared/exposure/integrate.ts';
import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import { BASE_MS, inMinutes, MINUTE_MS, recordOf } from './support.ts';

// A stand-in for vapour pressure deficit that can be worked by hand: t × (100 − rh) / 100.
type Air = Readonly<Record<'t' | 'rh', number>>;
const deficit = ({ t, rh }: Air) => (t * (100 - rh)) / 100;

function curveOf(t: ProbeRecord[], rh: ProbeRecord[], f: (air: Air) => number | null = deficit) {
  return derivedCurve({ inputs: { t, rh }, maxGapMs: DEFAULT_MAX_GAP_MS, f });
}

function knotsOf({ knots }: ReturnType<typeof curveOf>) {
  return Array.from({ length: knots.count }, (_, k) => [
    ((knots.timesMs[k] ?? Number.NaN) - BASE_MS) / MINUTE_MS,
    knots.values[k],
    knots.joined[k],
  ]);
}

test('temperature read at 0 and 10 min, humidity at 5 and 15: computed at 5 and at 10 only', () => {
  // At 5: 25 °C, 60 % → 10. At 10: 30 °C, 50 % → 15. At 0 and at 15 the other is not covered.
  const curve = curveOf([recordOf([0, 20], [10, 30])], [recordOf([5, 60], [15, 40])]);
  expect(inMinutes(curve.segments)).toEqual([[5, 10, 10, 15]]);
  expect(knotsOf(curve)).toEqual([
    [5, 10, 1],
    [10, 15, 0],
  ]);
});

test('between computed moments it is straight: mean 12.5 over 5 min, 2.5 min above 12.5', () => {
  const curve = curveOf([recordOf([0, 20], [10, 30])], [recordOf([5, 60], [15, 40])]);
  const window = { fromMs: BASE_MS, toMs: BASE_MS + 20 * MINUTE_MS };
  const exposure = bandExposure(curve.segments, [{ ...window, low: null, high: 12.5 }], window);
  // 1e-12: rounding of doubles.
  expect(exposure.mean).toBeCloseTo(12.5, 12);
  expect(exposure.coveredHours).toBeCloseTo(5 / 60, 12);
  expect(exposure.hoursAbove).toBeCloseTo(2.5 / 60, 12);
});

test('a gap of 20 min in humidity is a gap of the computed quantity, also where temperature was read', () => {
  const curve = curveOf(
    [recordOf([0, 20], [10, 20], [20, 20], [30, 20])],
    [recordOf([0, 50], [5, 50], [25, 50], [30, 50])],
  );
  expect(inMinutes(curve.segments)).toEqual([
    [0, 10, 5, 10],
    [25, 10, 30, 10],
  ]);
  expect(knotsOf(curve).map(([minute, , joined]) => [minute, joined])).toEqual([
    [0, 1],
    [5, 0],
    [25, 1],
    [30, 0],
  ]);
});

test('a lone temperature reading inside covered humidity is a lone computed moment', () => {
  const curve = curveOf([recordOf([7, 20])], [recordOf([0, 40], [14, 60])]);
  expect(curve.segments.count).toBe(0);
  expect(knotsOf(curve)).toEqual([[7, 10, 0]]);
});

test('sensors that report every 20 min give lone moments and no covered time', () => {
  const curve = curveOf([recordOf([0, 20], [20, 30])], [recordOf([0, 50], [20, 40])]);
  expect(curve.segments.count).toBe(0);
  expect(knotsOf(curve)).toEqual([
    [0, 10, 0],
    [20, 18, 0],
  ]);
});

test('a second temperature probe whose record ends at 5 min makes a jump there, not a slope', () => {
  // Both: (20 + 40) / 2 = 30 → 15. Alone after 5 min: 20 → 10.
  const curve = curveOf(
    [recordOf([0, 20], [10, 20]), recordOf([0, 40], [5, 40])],
    [recordOf([0, 50], [10, 50])],
  );
  expect(inMinutes(curve.segments)).toEqual([
    [0, 15, 5, 15],
    [5, 10, 10, 10],
  ]);
  expect(knotsOf(curve).map(([, value]) => value)).toEqual([15, 15, 10]);
});

test('where probes cross between readings nothing is computed', () => {
  // 22 steady, 10 → 30, 30 → 10 cross at 4, 5 and 6 min; they were read at 0 and 10 only.
  const t = [recordOf([0, 22], [10, 22]), recordOf([0, 10], [10, 30]), recordOf([0, 30], [10, 10])];
  expect(inMinutes(curveOf(t, [recordOf([0, 50], [10, 50])]).segments)).toEqual([[0, 11, 10, 11]]);
});

test('where the quantity does not exist (0 % here) there is a gap of 10 min and no moment', () => {
  const dewLike = (air: Air) => (air.rh === 0 ? null : deficit(air));
  const curve = curveOf(
    [recordOf([0, 20], [15, 20])],
    [recordOf([0, 50], [5, 0], [10, 50], [15, 50])],
    dewLike,
  );
  expect(inMinutes(curve.segments)).toEqual([[10, 10, 15, 10]]);
  expect(knotsOf(curve)).toEqual([
    [0, 10, 0],
    [10, 10, 1],
    [15, 10, 0],
  ]);
});

test('three inputs, read at 0 and 4, 1 and 5, 2 and 6 min, are all covered from 2 to 4 min', () => {
  const curve = derivedCurve({
    inputs: {
      leaf: [recordOf([0, 0], [4, 4])],
      air: [recordOf([1, 10], [5, 10])],
      rh: [recordOf([2, 100], [6, 100])],
    },
    maxGapMs: DEFAULT_MAX_GAP_MS,
    f: ({ leaf, air, rh }) => leaf + air + rh,
  });
  expect(inMinutes(curve.segments)).toEqual([[2, 112, 4, 114]]);
});

test('5 shared times call the formula 5 times', () => {
  let calls = 0;
  const readings = [0, 5, 10, 15, 20].map((minute) => [minute, minute] as const);
  curveOf([recordOf(...readings)], [recordOf(...readings)], (air) => {
    calls++;
    return deficit(air);
  });
  expect(calls).toBe(5);
});
