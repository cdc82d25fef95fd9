import { describe, expect, test } from 'vitest';
import {
  isCatchingUp,
  LATE_PAUSE_MS,
  type Late,
  MAX_CATCH_UP_MS,
  withLate,
} from '../../../../../server/domain/present/late.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const liveMs = 5 * MINUTE_MS;

/** Readings that arrive at these minutes and lie so many minutes behind. */
function lateAfter(arrivals: readonly (readonly [atMin: number, lagMin: number])[]): Late | null {
  return arrivals.reduce<Late | null>(
    (late, [atMin, lagMin]) =>
      withLate(late, { arrivedAtMs: atMin * MINUTE_MS, lagMs: lagMin * MINUTE_MS, liveMs }),
    null,
  );
}

describe('a probe', () => {
  test('whose readings are live is never behind', () => {
    expect(
      lateAfter([
        [0, 0],
        [1, 5],
      ]),
    ).toBeNull();
    expect(isCatchingUp(null, 0)).toBe(false);
  });

  test('of a backlog of 6 h that comes over 8 min is catching up all the while, and 5 min after the last', () => {
    const arrivals = Array.from({ length: 8 }, (_, k) => [k, 360 - 45 * k] as const);
    arrivals.forEach(([atMin], k) => {
      expect(isCatchingUp(lateAfter(arrivals.slice(0, k + 1)), atMin * MINUTE_MS)).toBe(true);
    });
    const late = lateAfter(arrivals);
    expect(isCatchingUp(late, 12 * MINUTE_MS)).toBe(true);
    expect(isCatchingUp(late, 12 * MINUTE_MS + 1)).toBe(false);
  });

  test('whose clock is 1 h behind is given 5 min, and no more while it stays behind', () => {
    const steady = Array.from({ length: 60 }, (_, k) => [k, 60] as const);
    expect(isCatchingUp(lateAfter(steady.slice(0, 6)), LATE_PAUSE_MS)).toBe(true);
    expect(isCatchingUp(lateAfter(steady.slice(0, 7)), 6 * MINUTE_MS)).toBe(false);
    expect(isCatchingUp(lateAfter(steady), 59 * MINUTE_MS)).toBe(false);
  });

  test('that comes nearer more slowly than the clock goes does not catch up', () => {
    const slow = Array.from({ length: 10 }, (_, k) => [k, 360 - 0.9 * k] as const);
    expect(isCatchingUp(lateAfter(slow), 9 * MINUTE_MS)).toBe(false);
  });

  test(`that needs longer than ${MAX_CATCH_UP_MS / MINUTE_MS} min to catch up counts as silent then`, () => {
    const long = Array.from({ length: 40 }, (_, k) => [k, 3 * 24 * 60 - 60 * k] as const);
    expect(isCatchingUp(lateAfter(long.slice(0, 31)), 30 * MINUTE_MS)).toBe(true);
    expect(isCatchingUp(lateAfter(long.slice(0, 32)), 31 * MINUTE_MS)).toBe(false);
  });

  test('that became live keeps its device counted as catching up for 5 min: others of it may still be late', () => {
    const late = lateAfter([
      [0, 60],
      [1, 10],
      [2, 0],
    ]);
    expect(isCatchingUp(late, 6 * MINUTE_MS)).toBe(true);
    expect(isCatchingUp(late, 6 * MINUTE_MS + 1)).toBe(false);
  });

  test('begins again after a pause, and after the clock went back', () => {
    expect(
      lateAfter([
        [0, 360],
        [6, 300],
      ]),
    ).toMatchObject({ sinceMs: 6 * MINUTE_MS, firstLagMs: 5 * HOUR_MS });
    expect(
      lateAfter([
        [60, 360],
        [0, 300],
      ]),
    ).toMatchObject({ sinceMs: 0 });
    expect(isCatchingUp(lateAfter([[60, 360]]), 0)).toBe(false);
  });
});
