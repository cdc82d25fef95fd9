import { describe, expect, test } from 'vitest';
import { mayPutOff, retryAfterMs } from '../../../../../server/domain/outbox/retry-after.ts';
import { LONGEST_DELAY_MS, nextAttemptMs } from '../../../../../server/domain/outbox/schedule.ts';

const NOW_MS = Date.UTC(2026, 5, 1, 10);

describe('Retry-After', () => {
  // RFC 9110, section 10.2.3: both examples
  test.each([
    ['120', NOW_MS + 120_000],
    ['Fri, 31 Dec 1999 23:59:59 GMT', Date.UTC(1999, 11, 31, 23, 59, 59)],
    ['0', NOW_MS],
  ])('of %s is %i', (value, expected) => {
    expect(retryAfterMs(value, NOW_MS)).toBe(expected);
  });

  // RFC 9110, section 5.6.7: one moment in the three forms a recipient must take
  test.each(['Sun, 06 Nov 1994 08:49:37 GMT', 'Sunday, 06-Nov-94 08:49:37 GMT', 'Sun Nov  6 08:49:37 1994'])(
    'reads %s as 6 November 1994, 08:49:37 UTC',
    (value) => {
      expect(retryAfterMs(value, NOW_MS)).toBe(Date.UTC(1994, 10, 6, 8, 49, 37));
    },
  );

  test('takes a year of 2 digits as at most 50 years ahead: 76 in 2026 is 2076, 77 is 1977', () => {
    expect(retryAfterMs('Monday, 06-Jan-76 00:00:00 GMT', NOW_MS)).toBe(Date.UTC(2076, 0, 6));
    expect(retryAfterMs('Thursday, 06-Jan-77 00:00:00 GMT', NOW_MS)).toBe(Date.UTC(1977, 0, 6));
  });

  test.each([null, '', '-5', '1.5', 'soon', '12345678901', 'Fri, 31 Foo 1999 23:59:59 GMT'])(
    'of %s says nothing',
    (value) => {
      expect(retryAfterMs(value, NOW_MS)).toBeNull();
    },
  );

  test('is read of 429 and 503 alone', () => {
    expect([200, 404, 429, 500, 503].filter(mayPutOff)).toEqual([429, 503]);
  });
});

test('the next attempt is never sooner than the waits say, as late as asked, and at most an hour later', () => {
  expect(LONGEST_DELAY_MS).toBe(3_600_000);
  const next = (attempts: number, notBeforeMs: number | null) =>
    (nextAttemptMs({ attempts, createdMs: NOW_MS, nowMs: NOW_MS, notBeforeMs }) ?? 0) - NOW_MS;
  expect([next(1, null), next(1, NOW_MS + 1_000), next(1, NOW_MS + 90_000)]).toEqual([5_000, 5_000, 90_000]);
  expect([next(6, NOW_MS + 90_000), next(1, NOW_MS + 9e9)]).toEqual([600_000, 3_600_000]);
});
