import { describe, expect, test } from 'vitest';
import {
  areHeldBack,
  COMES_TRUE_WITHIN_MS,
  isExpected,
  NOTICE_WITHIN_MS,
  type Notice,
  noticeRecordOf,
} from '../../../../../server/domain/forecast/notices.ts';

const MIN_MS = 60_000;
const DAY_MS = 1_440 * MIN_MS;
const at = (min: number, answered = false): Notice => ({ atMs: min * MIN_MS, answered });

describe('early notices of a place', () => {
  test('30 and 50 min ahead came true: a median lead of 40 min', () => {
    const record = noticeRecordOf([at(0), at(1_440)], [30 * MIN_MS, 1_490 * MIN_MS], 2 * DAY_MS);
    expect(record).toEqual({ hits: 2, misses: 0, wrong: 0, averted: 0, medianLeadMin: 40 });
  });

  test('air that went over its ceiling without one, or with one 4 min before, was missed, and that one was not wrong', () => {
    const record = noticeRecordOf([at(0)], [4 * MIN_MS, DAY_MS], 2 * DAY_MS);
    expect(record).toMatchObject({ hits: 0, misses: 2, wrong: 0 });
  });

  test('one of which nothing came in 150 min was wrong, unless somebody had answered it; before that it is open', () => {
    const open = noticeRecordOf([at(0)], [], COMES_TRUE_WITHIN_MS);
    expect(open.wrong).toBe(0);
    expect(noticeRecordOf([at(0)], [], COMES_TRUE_WITHIN_MS + 1).wrong).toBe(1);
    expect(noticeRecordOf([at(0, true)], [], DAY_MS)).toMatchObject({ wrong: 0, averted: 1 });
  });

  test('air that comes back over its ceiling within an hour went over it once', () => {
    const record = noticeRecordOf(
      [at(0)],
      [30, 50, 80].map((min) => min * MIN_MS),
      DAY_MS,
    );
    expect(record).toMatchObject({ hits: 1, misses: 0 });
  });

  test('are held back when 2 of 4 or more were wrong, not when 1 of 4 was, nor before 4 were decided', () => {
    const record = { misses: 0, averted: 0, medianLeadMin: 30 };
    expect(areHeldBack({ ...record, hits: 2, wrong: 2 })).toBe(true);
    expect(areHeldBack({ ...record, hits: 3, wrong: 1 })).toBe(false);
    expect(areHeldBack({ ...record, hits: 1, wrong: 2 })).toBe(false);
  });
});

describe('an early notice', () => {
  const nowMs = DAY_MS;
  test('is given when the forecast itself reaches the ceiling within 75 min, not when only its bound does', () => {
    const earliestMs = nowMs + 10 * MIN_MS;
    const isNew = { isActive: false, nowMs };
    expect(isExpected({ reachedMs: nowMs + NOTICE_WITHIN_MS, earliestMs }, isNew)).toBe(true);
    expect(isExpected({ reachedMs: nowMs + NOTICE_WITHIN_MS + 1, earliestMs }, isNew)).toBe(false);
    expect(isExpected({ reachedMs: null, earliestMs }, isNew)).toBe(false);
  });

  test('goes on while its bound reaches the ceiling, and ends once the air is there', () => {
    const goesOn = { isActive: true, nowMs };
    expect(isExpected({ reachedMs: null, earliestMs: nowMs + 1 }, goesOn)).toBe(true);
    expect(isExpected({ reachedMs: null, earliestMs: null }, goesOn)).toBe(false);
    expect(isExpected({ reachedMs: nowMs, earliestMs: nowMs }, goesOn)).toBe(false);
  });
});
