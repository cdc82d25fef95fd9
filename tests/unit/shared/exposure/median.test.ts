import { describe, expect, test } from 'vitest';
import { DEFAULT_MAX_GAP_MS } from '../../../../shared/exposure/coverage.ts';
import { bandExposure } from '../../../../shared/exposure/integrate.ts';
import { medianCurve } from '../../../../shared/exposure/median.ts';
import type { Curve, ProbeRecord } from '../../../../shared/exposure/series.ts';
import { BASE_MS, inMinutes, MINUTE_MS, recordOf } from './support.ts';

const joined = { maxGapMs: DEFAULT_MAX_GAP_MS };
const curveOf = (...records: ProbeRecord[]) => medianCurve(records, joined);

function knotsOf({ knots }: Curve) {
  return Array.from({ length: knots.count }, (_, k) => [
    ((knots.timesMs[k] ?? Number.NaN) - BASE_MS) / MINUTE_MS,
    knots.values[k],
    knots.joined[k],
  ]);
}

function exposureOver(curve: Curve, minutes: number, high: number) {
  const window = { fromMs: BASE_MS, toMs: BASE_MS + minutes * MINUTE_MS };
  return bandExposure(curve.segments, [{ ...window, low: null, high }], window);
}

test('one probe is its own median, and a reading 20 min from the others stays as a lone moment', () => {
  const curve = curveOf(recordOf([0, 20], [10, 22], [30, 25]));
  expect(inMinutes(curve.segments)).toEqual([[0, 20, 10, 22]]);
  expect(knotsOf(curve)).toEqual([
    [0, 20, 1],
    [10, 22, 0],
    [30, 25, 0],
  ]);
});

test('stored moments exactly 15:00 apart are joined, 15:00.001 apart they are not', () => {
  const late = 15 + 1 / MINUTE_MS;
  expect(knotsOf(curveOf(recordOf([0, 20], [15, 22]))).map(([, , joins]) => joins)).toEqual([1, 0]);
  expect(knotsOf(curveOf(recordOf([0, 20], [late, 22]))).map(([, , joins]) => joins)).toEqual([0, 0]);
});

test('two probes give the mean of the two, read at other times', () => {
  // 20 → 30 over 0–10 and 10 → 20 over 5–15: alone 20 → 25, then (25+10)/2 → (30+15)/2, then alone 15 → 20.
  const curve = curveOf(recordOf([0, 20], [10, 30]), recordOf([5, 10], [15, 20]));
  expect(inMinutes(curve.segments)).toEqual([
    [0, 20, 5, 25],
    [5, 17.5, 10, 22.5],
    [10, 15, 15, 20],
  ]);
  // At 5 and at 10 min both are covered, so the moment itself shows the median of both.
  expect(knotsOf(curve)).toEqual([
    [0, 20, 1],
    [5, 17.5, 1],
    [10, 22.5, 1],
    [15, 20, 0],
  ]);
});

test('two probes that cross do not bend: 0 → 10 and 10 → 0 stay at 5', () => {
  expect(inMinutes(curveOf(recordOf([0, 0], [10, 10]), recordOf([0, 10], [10, 0])).segments)).toEqual([
    [0, 5, 10, 5],
  ]);
});

describe('three probes that cross: 22 steady, 10 → 30 and 30 → 10 over 10 min', () => {
  const curve = curveOf(
    recordOf([0, 22], [10, 22]),
    recordOf([0, 10], [10, 30]),
    recordOf([0, 30], [10, 10]),
  );

  test('the median bends at 4, 5 and 6 min, where they cross', () => {
    // 30 − 2t = 22 at 4; 10 + 2t = 30 − 2t at 5, both 20; 10 + 2t = 22 at 6.
    const found = inMinutes(curve.segments);
    const worked = [
      [0, 22, 4, 22],
      [4, 22, 5, 20],
      [5, 20, 6, 22],
      [6, 22, 10, 22],
    ];
    // 1e-5 min: a double of ms since epoch is good to 0.0005 ms.
    expect(found).toHaveLength(4);
    found.flat().forEach((number, i) => {
      expect(number).toBeCloseTo(worked.flat()[i] ?? Number.NaN, 5);
    });
  });

  test('only the 2 moments at which they were read are stored moments', () => {
    expect(knotsOf(curve)).toEqual([
      [0, 22, 1],
      [10, 22, 0],
    ]);
  });

  test('the dip of 2 min and 2 K makes the mean 21.8, the least 20, and 1 min above 22 none', () => {
    // Area of the dip 2 × 2 / 2 = 2 K·min; 22 − 2/10 = 21.8. Tolerance: bends rounded to 0.0005 ms in 10 min.
    const exposure = exposureOver(curve, 10, 22);
    expect(exposure.mean).toBeCloseTo(21.8, 8);
    expect(exposure.min).toBe(20);
    expect(exposure.hoursAbove).toBe(0);
  });
});

test('four probes: 0, 10, 20 steady and −10 → 30 over 8 min have a median with mean 10', () => {
  // The fourth meets them at 2, 4 and 6 min: 5, then 5 → 10, 10 → 15, then 15: (10 + 15 + 25 + 30) / 8 = 10.
  const steady = [0, 10, 20].map((value) => recordOf([0, value], [8, value]));
  const curve = curveOf(...steady, recordOf([0, -10], [8, 30]));
  const exposure = exposureOver(curve, 8, 10);
  expect(curve.segments.count).toBe(4);
  // 1e-8: bends rounded to 0.0005 ms in 8 min.
  expect(exposure.mean).toBeCloseTo(10, 8);
  expect(exposure.hoursAbove).toBeCloseTo(4 / 60, 8);
  expect([exposure.min, exposure.max]).toEqual([5, 15]);
});

test('when the third probe drops out after 5 min the median steps from 30 to 25', () => {
  const curve = curveOf(
    recordOf([0, 20], [10, 20]),
    recordOf([0, 30], [10, 30]),
    recordOf([0, 40], [5, 40], [25, 99]),
  );
  expect(inMinutes(curve.segments)).toEqual([
    [0, 30, 5, 30],
    [5, 25, 10, 25],
  ]);
  // (30 × 5 + 25 × 5) / 10. Exact: whole ms and whole degrees.
  expect(exposureOver(curve, 10, 28).mean).toBe(27.5);
  expect(exposureOver(curve, 10, 28).hoursAbove).toBe(5 / 60);
  expect(knotsOf(curve)).toEqual([
    [0, 30, 1],
    [5, 30, 1],
    [10, 25, 0],
    [25, 99, 0],
  ]);
});

test('a lone reading of 90 among two covered probes at 20 and 22 changes neither course nor moment', () => {
  const curve = curveOf(recordOf([0, 20], [10, 20]), recordOf([0, 22], [10, 22]), recordOf([5, 90]));
  expect(inMinutes(curve.segments)).toEqual([
    [0, 21, 5, 21],
    [5, 21, 10, 21],
  ]);
  expect(knotsOf(curve).map(([, value]) => value)).toEqual([21, 21, 21]);
});

test('two lone readings of 20 and 30 at one time show 25 and cover nothing', () => {
  const curve = curveOf(recordOf([0, 20]), recordOf([0, 30]));
  expect(curve.segments.count).toBe(0);
  expect(knotsOf(curve)).toEqual([[0, 25, 0]]);
});

test('no probe gives no segment and no moment', () => {
  expect(curveOf().segments.count).toBe(0);
  expect(curveOf().knots.count).toBe(0);
});

test('the same probe given three times is the probe, to the last bit', () => {
  const probe = recordOf([0, 20.1], [7, 23.7], [13, 22.2], [40, 21], [41, 21.3]);
  expect(inMinutes(curveOf(probe, probe, probe).segments)).toEqual(inMinutes(curveOf(probe).segments));
  expect(knotsOf(curveOf(probe, probe, probe))).toEqual(knotsOf(curveOf(probe)));
});
