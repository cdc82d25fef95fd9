import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { linkOf } from '../../../../../server/domain/people/answer-link.ts';
import {
  nextWeeklyTestMs,
  testLinkOf,
  testLinkText,
  unconfirmedTests,
  weeklyTestDue,
} from '../../../../../server/domain/people/weekly-test.ts';
import type { PathTest, WeeklyTest } from '../../../../../shared/model/people/weekly-test.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const WEEK_MS = 7 * 24 * HOUR_MS;
const zone = 'Europe/Oslo';
const at = (iso: string) => Date.parse(iso);
/** Monday at 10:00. */
const MONDAY: WeeklyTest = { on: true, weekday: 1, at: '10:00', confirmWithinH: 24 };
const next = (weekly: WeeklyTest, now: string) => {
  const nextMs = nextWeeklyTestMs({ weekly, nowMs: at(now), zone });
  return nextMs === null ? null : new Date(nextMs).toISOString();
};

describe('the weekly test in Oslo', () => {
  // 1 June 2026 is a Monday (ISO 8601 calendar); Oslo is 2 h ahead of UTC in summer, 1 h in winter (tz database)
  test.each([
    ['2026-06-01T07:59:59Z', '2026-06-01T08:00:00.000Z'],
    ['2026-06-01T08:00:00Z', '2026-06-08T08:00:00.000Z'],
    ['2026-10-24T12:00:00Z', '2026-10-26T09:00:00.000Z'],
  ])('of Monday at 10:00, asked at %s, comes next at %s', (now, expected) => {
    expect(next(MONDAY, now)).toBe(expected);
  });

  test('of a Sunday at 02:30 that the clock skips on 29 March 2026 comes at 03:30, one it shows twice at the first', () => {
    const sunday = { ...MONDAY, weekday: 7, at: '02:30' };
    expect(next(sunday, '2026-03-28T12:00:00Z')).toBe('2026-03-29T01:30:00.000Z');
    expect(next(sunday, '2026-10-24T12:00:00Z')).toBe('2026-10-25T00:30:00.000Z');
  });

  test('is due at its hour and not before, once, and once for 3 weeks that were missed; off, never', () => {
    const due = (sinceMs: number, nowMs: number, weekly = MONDAY) =>
      weeklyTestDue({ weekly, nowMs, zone, sinceMs });
    const hourMs = at('2026-06-01T08:00:00Z');
    expect(due(hourMs - WEEK_MS, hourMs - 1)).toBe(false);
    expect(due(hourMs - WEEK_MS, hourMs)).toBe(true);
    expect(due(hourMs, hourMs + 1)).toBe(false);
    const backMs = hourMs + 3 * WEEK_MS + HOUR_MS;
    expect([due(hourMs, backMs), due(backMs, backMs + MINUTE_MS)]).toEqual([true, false]);
    expect(due(hourMs - WEEK_MS, hourMs, { ...MONDAY, on: false })).toBe(false);
    expect(next({ ...MONDAY, on: false }, '2026-06-01T07:00:00Z')).toBeNull();
  });

  test('in 6 settings over 15 days with clock changes is sent when a calendar of the machine shows day and time', () => {
    const shown = new Intl.DateTimeFormat('en-GB', {
      timeZone: zone,
      weekday: 'short',
      hour: '2-digit',
      minute: '2-digit',
      hour12: false,
    });
    const days = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];
    const starts = ['2026-03-22T00:00Z', '2026-10-18T00:00Z', '2026-06-01T00:00Z'].map(at);
    const setting = fc.record({
      startMs: fc.constantFrom(...starts),
      weekday: fc.integer({ min: 1, max: 7 }),
      // hours that no clock change skips or repeats
      hour: fc.integer({ min: 4, max: 23 }),
    });
    fc.assert(
      fc.property(setting, ({ startMs, weekday, hour }) => {
        const clock = `${String(hour).padStart(2, '0')}:30`;
        const weekly = { ...MONDAY, weekday, at: clock };
        let sinceMs = startMs;
        const sent: number[] = [];
        const expected: number[] = [];
        for (let nowMs = startMs; nowMs < startMs + 15 * 24 * HOUR_MS; nowMs += 30 * MINUTE_MS) {
          if (weeklyTestDue({ weekly, nowMs, zone, sinceMs })) sent.push(nowMs);
          if (sent.at(-1) === nowMs) sinceMs = nowMs;
          const parts = shown.format(nowMs);
          if (nowMs > startMs && parts.includes(days[weekday - 1] ?? '-') && parts.endsWith(clock))
            expected.push(nowMs);
        }
        expect(sent).toEqual(expected);
        expect(sent.length).toBeGreaterThanOrEqual(2);
      }),
      { numRuns: 6 },
    );
  });
});

describe('a test nobody confirmed', () => {
  const one = (over: Partial<PathTest>): PathTest => ({
    id: 1,
    key: 'test-1',
    cause: 'weekly',
    personId: 1,
    wayId: 1,
    recipient: 'Robin, e-mail',
    putMs: 0,
    confirmByMs: 100,
    takenMs: 1,
    error: null,
    givenUp: false,
    confirmedMs: null,
    ...over,
  });
  const ids = (nowMs: number, ...tests: PathTest[]) => unconfirmedTests(tests, nowMs).map(({ id }) => id);

  test('is active from the very end of its time, until it is confirmed, late or not', () => {
    expect([ids(99, one({})), ids(100, one({}))]).toEqual([[], [1]]);
    expect(ids(200, one({ confirmedMs: 150 }))).toEqual([]);
  });

  test('stays active while the next waits, and is over when that is confirmed; the newest that counts decides, by way', () => {
    const later = one({ id: 2, putMs: 300, confirmByMs: 400 });
    expect(ids(350, one({}), later)).toEqual([1]);
    expect(ids(350, one({}), { ...later, confirmedMs: 340 })).toEqual([]);
    expect(ids(400, one({ confirmedMs: 50 }), later)).toEqual([2]);
    expect(ids(400, one({}), one({ id: 3, wayId: 7, confirmByMs: 400 }), later)).toEqual([2, 3]);
  });

  test('that somebody asked for is no alarm; confirmed, it ends one', () => {
    const asked = one({ id: 2, cause: 'asked', putMs: 300, confirmByMs: 400 });
    expect(ids(500, asked)).toEqual([]);
    expect(ids(500, one({}), asked)).toEqual([1]);
    expect(ids(500, one({}), { ...asked, confirmedMs: 310 })).toEqual([]);
  });
});

test('the link of a test is none of an alarm, and the other way about', () => {
  const link = { key: 'test-1-7', expiresMs: 5 };
  expect(testLinkOf(testLinkText(link))).toEqual(link);
  expect(linkOf(testLinkText(link))).toBeNull();
  expect(testLinkOf(JSON.stringify(['test', 'bench-1.no-data', 5, 1, 9]))).toBeNull();
  expect(testLinkOf(null)).toBeNull();
});
