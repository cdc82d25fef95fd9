import { describe, expect, test } from 'vitest';
import { expectHalfRooted, halfRooted, ownFit } from '../../../../../server/domain/batches/half-rooted.ts';

const DAY_MS = 86_400_000;
const count = (day: number, examined: number, rooted: number) => ({ atMs: day * DAY_MS, examined, rooted });
const three = [
  { batchId: 'a', degreeHours: 900 },
  { batchId: 'b', degreeHours: 1000 },
  { batchId: 'c', degreeHours: 1100 },
];
const steady = [24, 24, 24].map((coveredHours) => ({ degreeHours: 100, coveredHours }));

describe('when half of a batch had roots', () => {
  // By hand: 20 % on day 10, 60 % on day 14: half at 10 + 4 × 30/40 = 13
  test('20 % on day 10 and 60 % on day 14 give day 13, in any order of the counts', () => {
    const expected = { atMs: 13 * DAY_MS, beforeMs: 10 * DAY_MS, afterMs: 14 * DAY_MS };
    expect(halfRooted([count(10, 20, 4), count(14, 20, 12)])).toEqual(expected);
    expect(halfRooted([count(14, 20, 12), count(21, 20, 18), count(10, 20, 4)])).toEqual(expected);
  });

  test('shares count, not numbers: 5 of 50, then 8 of 10', () => {
    // 0.1 on day 7, 0.8 on day 14: half at 7 + 7 × 4/7 = 11
    expect(halfRooted([count(7, 50, 5), count(14, 10, 8)])).toMatchObject({ atMs: 11 * DAY_MS });
  });

  test('exactly half is half', () => {
    expect(halfRooted([count(10, 20, 4), count(12, 20, 10)])).toMatchObject({ atMs: 12 * DAY_MS });
  });

  test.each([
    ['no-count', []],
    ['not-yet-half', [count(7, 20, 1), count(10, 20, 9)]],
    ['half-at-first-count', [count(14, 20, 15)]],
  ])('%s is said where nothing lies between two counts', (reason, counts) => {
    expect(halfRooted(counts)).toEqual({ reason });
  });
});

describe("the grower's own total", () => {
  // By hand as in student.test.ts: t(2) = 4.3027
  test('batches of 900, 1000 and 1100 °C·h give 1000, the mean within 248 and the next within 497', () => {
    const fit = ownFit(three);
    expect(fit).toMatchObject({ batches: 3, mean: 1000, standardDeviation: 100 });
    if ('reason' in fit) throw new Error(fit.reason);
    expect(fit.mean95.low).toBeCloseTo(751.59, 2);
    expect(fit.next95.high).toBeCloseTo(1496.83, 2);
  });

  test('two batches are too few: nothing is made up', () => {
    expect(ownFit(three.slice(1))).toEqual({ reason: 'too-few-batches', batches: 2, needed: 3 });
  });

  test('batches far apart never give a total below 0', () => {
    const fit = ownFit([10, 100, 1000].map((degreeHours, i) => ({ batchId: `${i}`, degreeHours })));
    expect('reason' in fit ? null : fit.next95.low).toBe(0);
  });

  test('a batch without thermal time is refused by its name', () => {
    expect(() => ownFit([{ batchId: 'heather', degreeHours: 0 }])).toThrow('heather');
  });
});

describe('when half of a batch is expected to have roots', () => {
  const nowMs = 100 * DAY_MS;
  const ask = (change: Partial<Parameters<typeof expectHalfRooted>[0]>) =>
    expectHalfRooted({ fit: ownFit(three), degreeHours: 400, lastDays: steady, nowMs, ...change });

  // By hand: 600 °C·h are wanting at 100 a day: 6 days; 103.17 to 1096.83 are wanting at the ends: 1.03 to 10.97 days
  test('with 400 of 1000 °C·h, at a steady 100 a day, it is in 6 days, 1.0 to 11.0', () => {
    const expectation = ask({});
    if ('reason' in expectation) throw new Error(expectation.reason);
    const inDays = (ms: number | null) => ((ms ?? 0) - nowMs) / DAY_MS;
    expect(inDays(expectation.atMs)).toBeCloseTo(6, 9);
    expect(inDays(expectation.earliestMs)).toBeCloseTo(1.0317, 3);
    expect(inDays(expectation.latestMs)).toBeCloseTo(10.9683, 3);
  });

  test('days that differ widen it: 80, 100 and 120 a day', () => {
    const uneven = [80, 100, 120].map((degreeHours) => ({ degreeHours, coveredHours: 24 }));
    const [wide, narrow] = [ask({ lastDays: uneven }), ask({})];
    if ('reason' in wide || 'reason' in narrow) throw new Error('nothing expected');
    expect(wide.atMs).toBe(narrow.atMs);
    expect(wide.earliestMs).toBeLessThan(narrow.earliestMs);
    expect(wide.latestMs ?? 0).toBeGreaterThan(narrow.latestMs ?? 0);
  });

  test('18 h on record count as 18 of 24, 6 h not at all', () => {
    const partly = [
      { degreeHours: 75, coveredHours: 18 },
      { degreeHours: 1, coveredHours: 6 },
      { degreeHours: 100, coveredHours: 24 },
    ];
    expect(ask({ lastDays: partly })).toMatchObject({ ratePerDay: 100 });
  });

  test('where the days may have been nothing, there is no latest', () => {
    const uneven = [0, 200].map((degreeHours) => ({ degreeHours, coveredHours: 24 }));
    expect(ask({ lastDays: uneven })).toMatchObject({ latestMs: null, ratePerDay: 100 });
  });

  test('past the most of its own total, all three are now', () => {
    expect(ask({ degreeHours: 1500 })).toMatchObject({ atMs: nowMs, earliestMs: nowMs, latestMs: nowMs });
  });

  test.each([
    ['too-few-batches', { fit: ownFit([]) }],
    ['too-little-recorded', { lastDays: steady.slice(1, 2) }],
    ['no-progress', { lastDays: steady.map((day) => ({ ...day, degreeHours: 0 })) }],
  ])('%s is said instead of a date', (reason, change) => {
    expect(ask(change)).toEqual({ reason });
  });
});
