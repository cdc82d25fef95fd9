import { describe, expect, test } from 'vitest';
import { DEFAULT_MAX_GAP_MS } from '../../../../shared/exposure/coverage.ts';
import { medianCurve } from '../../../../shared/exposure/median.ts';
import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import { chartPoints } from '../../../../shared/exposure/series-points.ts';
import { BASE_MS, MINUTE_MS, recordOf } from './support.ts';

function drawn(record: ProbeRecord, from: number, to: number, points?: number) {
  const curve = medianCurve([record], { maxGapMs: DEFAULT_MAX_GAP_MS });
  const window = { fromMs: BASE_MS + from * MINUTE_MS, toMs: BASE_MS + to * MINUTE_MS };
  return chartPoints(curve, { ...window, points }).map(({ tMs, value, min, max }) => [
    (tMs - BASE_MS) / MINUTE_MS,
    value,
    min,
    max,
  ]);
}

describe('every stored moment', () => {
  const record = recordOf([0, 20], [10, 22], [40, 25], [50, 24]);

  test('4 readings with a gap of 30 min are 5 points, the null one in the middle of the gap', () => {
    expect(drawn(record, 0, 60)).toEqual([
      [0, 20, 20, 20],
      [10, 22, 22, 22],
      [25, null, null, null],
      [40, 25, 25, 25],
      [50, 24, 24, 24],
    ]);
  });

  test('a window of 10 to 50 min holds both its ends', () => {
    expect(drawn(record, 10, 50).map(([minute]) => minute)).toEqual([10, 25, 40, 50]);
  });

  test('a window that starts inside the gap draws no null point before its first reading', () => {
    expect(drawn(record, 15, 60).map(([minute]) => minute)).toEqual([40, 50]);
  });

  test('a window inside the gap is empty', () => {
    expect(drawn(record, 15, 35)).toEqual([]);
  });
});

describe('in spans', () => {
  test('20 → 40 over 10 min in 2 spans: means 25 and 35, extremes at the cut', () => {
    expect(drawn(recordOf([0, 20], [10, 40]), 0, 10, 2)).toEqual([
      [2.5, 25, 20, 30],
      [7.5, 35, 30, 40],
    ]);
  });

  test('a spike of one reading to 60 among 60 readings at 20 is the max of its span, the mean is weighted', () => {
    const readings = Array.from({ length: 61 }, (_, minute) => [minute, minute === 33 ? 60 : 20] as const);
    // Spans of 20 min. Spike: triangle 2 min × 40 K / 2 = 40 K·min; 20 + 40/20 = 22.
    const points = drawn(recordOf(...readings), 0, 60, 3);
    expect(points.map(([, , , max]) => max)).toEqual([20, 60, 20]);
    expect(points[1]?.[1]).toBeCloseTo(22, 9);
  });

  test('the mean is weighted by time: 8 min at 20, a slope of 1 min, 1 min at 40 are 23 over 10 min', () => {
    // 0–8 at 20, 8–9 from 20 to 40, 9–10 at 40: (160 + 30 + 40) / 10 = 23.
    expect(drawn(recordOf([0, 20], [8, 20], [9, 40], [10, 40]), 0, 10, 1)).toEqual([[5, 23, 20, 40]]);
  });

  test('of a span covered for 5 of 10 min the mean is that of the 5 min', () => {
    expect(drawn(recordOf([0, 20], [5, 30]), 0, 20, 2)).toEqual([
      [5, 25, 20, 30],
      [15, null, null, null],
    ]);
  });

  test('3 spans in a row without a reading are one null point', () => {
    const record = recordOf([0, 20], [10, 20], [50, 24], [60, 24]);
    expect(drawn(record, 0, 60, 6).map(([minute, value]) => [minute, value])).toEqual([
      [5, 20],
      [15, null],
      [55, 24],
    ]);
  });

  test('lone readings of 20 and 30 in one span are drawn though they cover nothing', () => {
    expect(drawn(recordOf([0, 20], [20, 30]), 0, 60, 2)).toEqual([
      [15, 25, 20, 30],
      [45, null, null, null],
    ]);
  });

  test('a lone reading of 60 widens the extremes of a covered span and leaves its mean', () => {
    expect(drawn(recordOf([0, 20], [10, 20], [30, 60]), 0, 40, 1)).toEqual([[20, 20, 20, 60]]);
  });

  test('more spans than ms give one point a ms: 10 spans of 4 ms are 4 points', () => {
    const curve = medianCurve([recordOf([0, 20], [10, 40])], { maxGapMs: DEFAULT_MAX_GAP_MS });
    expect(chartPoints(curve, { fromMs: BASE_MS, toMs: BASE_MS + 4, points: 10 })).toHaveLength(4);
  });

  test.each([0, -1, 1.5, Number.NaN])('%d points are refused', (points) => {
    expect(() => drawn(recordOf([0, 20]), 0, 10, points)).toThrow(/whole number of at least 1/);
  });

  test('a window that ends 5 min before it starts is refused', () => {
    expect(() => drawn(recordOf([0, 20]), 10, 5)).toThrow(RangeError);
  });
});
