import { expect, test } from 'vitest';
import { DEFAULT_MAX_GAP_MS, segmentsOf } from '../../../../shared/exposure/coverage.ts';
import { bandExposure } from '../../../../shared/exposure/integrate.ts';
import { probeRecord } from '../../../../shared/exposure/series.ts';
import { BASE_MS, hours, inMinutes, recordOf } from './support.ts';

const joined = { maxGapMs: DEFAULT_MAX_GAP_MS };

test('readings exactly 15:00 apart are joined, 15:00.001 apart they are not', () => {
  const pair = (apartMs: number) => probeRecord({ timesMs: [BASE_MS, BASE_MS + apartMs], values: [20, 22] });
  expect(inMinutes(segmentsOf(pair(900_000), joined))).toEqual([[0, 20, 15, 22]]);
  expect(segmentsOf(pair(900_001), joined).count).toBe(0);
});

test('a gap of 16 min inside a record covers nothing and takes no more than itself', () => {
  const segments = segmentsOf(recordOf([0, 20], [10, 21], [26, 24], [36, 25]), joined);
  expect(inMinutes(segments)).toEqual([
    [0, 20, 10, 21],
    [26, 24, 36, 25],
  ]);
});

test('from 1 h before the first to 1 h after the last of 13 readings 5 min apart, 1 h is covered', () => {
  const record = recordOf(...Array.from({ length: 13 }, (_, i) => [5 * i, 20] as const));
  const window = hours(-1, 2);
  const exposure = bandExposure(segmentsOf(record, joined), [{ ...window, low: 18, high: 24 }], window);
  expect(exposure.coveredHours).toBe(1);
  expect(exposure.hoursWithin).toBe(1);
});

test('0 readings and 1 reading cover nothing', () => {
  expect(segmentsOf(recordOf(), joined).count).toBe(0);
  expect(segmentsOf(recordOf([0, 20]), joined).count).toBe(0);
});

test('a longest gap of 0 ms or NaN is refused', () => {
  expect(() => segmentsOf(recordOf([0, 20]), { maxGapMs: 0 })).toThrow(RangeError);
  expect(() => segmentsOf(recordOf([0, 20]), { maxGapMs: Number.NaN })).toThrow(/expected more than 0 ms/);
});
