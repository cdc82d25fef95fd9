import { expect, test } from 'vitest';
import { afterFailure, type Failed, waitOf } from '../../../../../server/domain/access/throttle.ts';

const MINUTE_MS = 60_000;

/** Waits in s right after each of so many failures in a row, each tried as soon as it may be. */
function waitsS(failures: number): number[] {
  let failed: Failed | null = null;
  let nowMs = 0;
  return Array.from({ length: failures }, () => {
    failed = afterFailure(failed, nowMs);
    const waitMs = waitOf(failed, nowMs);
    nowMs += waitMs;
    return waitMs / 1000;
  });
}

test('3 wrong passwords cost nothing; from the 4th on the wait doubles from 1 s and stays at 300 s', () => {
  // 1 s doubled: 1, 2, 4 … 256, then the longest that is stated, 5 minutes = 300 s
  expect(waitsS(14)).toEqual([0, 0, 0, 1, 2, 4, 8, 16, 32, 64, 128, 256, 300, 300]);
});

test('1,000 wrong passwords in a row make nobody wait longer than 300 s', () => {
  expect(Math.max(...waitsS(1_000))).toBe(300);
});

test('an address without a failure never waits, and one that failed 10 times starts again after 60 minutes', () => {
  expect(waitOf(null, 0)).toBe(0);
  const failed: Failed = { failures: 10, lastMs: 0 };
  expect(waitOf(failed, 60 * MINUTE_MS)).toBe(0);
  expect(afterFailure(failed, 60 * MINUTE_MS)).toEqual({ failures: 1, lastMs: 60 * MINUTE_MS });
  expect(afterFailure(failed, 59 * MINUTE_MS)).toEqual({ failures: 11, lastMs: 59 * MINUTE_MS });
});
