import { describe, expect, test } from 'vitest';
import {
  type LatestReadings,
  latestFrom,
  MAX_INTERVALS,
  MAX_RECENT,
  slopePerMin,
  withDelivery,
  withPromise,
  withReading,
} from '../../../../../server/domain/present/latest-readings.ts';

const MINUTE_MS = 60_000;
const once = latestFrom({ tMs: 0, value: 20, cadenceMs: null });

/** The cadence, min, after deliveries at these minutes. */
function cadenceAfter(minutes: readonly number[], from: LatestReadings = once): number | null {
  const latest = minutes.reduce((before, minute) => withDelivery(before, minute * MINUTE_MS), from);
  return latest.cadenceMs === null ? null : latest.cadenceMs / MINUTE_MS;
}

describe('cadence', () => {
  test.each([
    ['is not known from 1 delivery', [0], null],
    ['is 10 min from 2 deliveries 10 min apart', [0, 10], 10],
    [
      'is the median: 1 outage of 120 min among 1-min deliveries leaves it at 1 min',
      [0, 1, 2, 122, 123, 124],
      1,
    ],
    ['of 2 kinds of intervals, 1 and 10 min, is the longer', [0, 1, 11, 12, 22], 10],
  ] as const)('%s', (_name, minutes, expected) => {
    expect(cadenceAfter(minutes)).toBe(expected);
  });

  test('forgets: after 8 intervals of 10 min nothing is left of the minutes before', () => {
    const fast = Array.from({ length: 20 }, (_, k) => k);
    const slow = Array.from({ length: MAX_INTERVALS }, (_, k) => 19 + 10 * (k + 1));
    expect(cadenceAfter([...fast, ...slow])).toBe(10);
  });

  test('of a node that empties its store every 10 min, 10 messages 50 ms apart, is 10 min', () => {
    const bursts = Array.from({ length: 4 }, (_, burst) =>
      Array.from({ length: 10 }, (_, k) => 10 * burst + (k * 50) / MINUTE_MS),
    ).flat();
    expect(cadenceAfter(bursts)).toBeCloseTo(10, 6);
  });

  test('survives a clock that is set back 5 min: that interval is left out', () => {
    expect(cadenceAfter([10, 11, 6, 7])).toBe(1);
  });

  test('noted by an earlier run holds until there are intervals of this one', () => {
    const kept = latestFrom({ tMs: 0, value: 20, cadenceMs: 10 * MINUTE_MS });
    expect(cadenceAfter([0], kept)).toBe(10);
    expect(cadenceAfter([0, 2], kept)).toBe(2);
  });
});

describe('slope', () => {
  const readings = (...points: readonly (readonly [atS: number, value: number])[]) =>
    points.reduce<LatestReadings | null>(
      (latest, [atS, value]) => withReading(latest, { tMs: atS * 1_000, value }),
      null,
    );
  const slope = (latest: LatestReadings | null) => latest && slopePerMin(latest);

  test.each([
    [
      '0.5 K in 60 s is 0.5 K/min',
      [
        [0, 20],
        [60, 20.5],
      ],
      0.5,
    ],
    [
      '−3 K in 4 min is −0.75 K/min',
      [
        [0, 20],
        [120, 19],
        [240, 17],
      ],
      -0.75,
    ],
    [
      'readings older than 5 min are left out: 1 K in the last 5 min is 0.2 K/min',
      [
        [0, 0],
        [100, 20],
        [400, 21],
      ],
      0.2,
    ],
    [
      'of a rise that turned 2 min ago, it is the fall of the last minutes: −0.32 K/min, not 0.12',
      // by hand: least squares through (−3, 21.5) (−2, 22) (−1, 21.5) (0, 20.6) is (−1.5 · 0.1 − 0.5 · 0.6 + 0.5 · 0.1 − 1.5 · 0.8) / 5
      [
        [0, 20],
        [60, 20.5],
        [120, 21.5],
        [180, 22],
        [240, 21.5],
        [300, 20.6],
      ],
      -0.32,
    ],
    [
      '29 s are too short to judge by',
      [
        [0, 20],
        [29, 21],
      ],
      null,
    ],
    ['1 reading is none', [[0, 20]], null],
  ] as const)('%s', (_name, points, expected) => {
    const found = slope(readings(...points));
    // sums of tenths: doubles are off by a few 1e-16
    if (expected === null) expect(found).toBeNull();
    else expect(found).toBeCloseTo(expected, 12);
  });

  test(`no more than ${MAX_RECENT} readings are kept`, () => {
    const many = Array.from({ length: 100 }, (_, k) => [k, 20] as const);
    expect(readings(...many)?.recent).toHaveLength(MAX_RECENT);
  });
});

describe('a promise of when the next reading comes (SenML ut)', () => {
  test('a node that promises a reading in 600 s has a cadence of 10 min before it was received twice', () => {
    expect(withPromise(once, 600).cadenceMs).toBe(600_000);
  });

  test('what was seen counts for more: deliveries 1 min apart outweigh a promise of 600 s', () => {
    const seen = withDelivery(withDelivery(once, 0), MINUTE_MS);
    expect(withPromise(seen, 600).cadenceMs).toBe(MINUTE_MS);
  });

  test('no promise changes nothing', () => {
    expect(withPromise(once, null)).toBe(once);
  });
});
