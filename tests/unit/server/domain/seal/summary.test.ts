import fc from 'fast-check';
import { expect, test } from 'vitest';
import { summaryOf } from '../../../../../server/domain/seal/summary.ts';

const MINUTE_MS = 60_000;
const joined = { maxGapMs: 15 * MINUTE_MS };
const record = (minutes: readonly number[], values: readonly number[]) => ({
  timesMs: Float64Array.from(minutes, (minute) => minute * MINUTE_MS),
  values: Float64Array.from(values),
});

// By hand: 10 min at a mean of 21, 15 min at 24, a gap of 16 min, 5 min at 20; exact in doubles.
test('readings of 20, 22, 26, 18 and 22 with a gap of 16 minutes cover 30 minutes and 670 value-minutes', () => {
  expect(summaryOf(record([0, 10, 25, 41, 46], [20, 22, 26, 18, 22]), joined)).toEqual({
    count: 5,
    firstMs: 0,
    lastMs: 46 * MINUTE_MS,
    firstValue: 20,
    lastValue: 22,
    min: 18,
    max: 26,
    coveredMs: 30 * MINUTE_MS,
    area: (210 + 360 + 100) * MINUTE_MS,
  });
});

test('1 reading covers no time, and is both extremes', () => {
  expect(summaryOf(record([7], [-3]), joined)).toMatchObject({
    count: 1,
    min: -3,
    max: -3,
    coveredMs: 0,
    area: 0,
  });
});

// Values in quarters and whole minutes: all sums are exact in doubles, so equal means equal.
test('2 blocks and the straight piece between them come to what they come to as 1 block', () => {
  const step = fc.record({
    minutes: fc.integer({ min: 1, max: 20 }),
    quarters: fc.integer({ min: -80, max: 160 }),
  });
  fc.assert(
    fc.property(fc.array(step, { minLength: 2, maxLength: 40 }), fc.nat(), (steps, cutAt) => {
      let minute = 0;
      const minutes = steps.map((one) => {
        minute += one.minutes;
        return minute;
      });
      const values = steps.map((one) => one.quarters / 4);
      const cut = 1 + (cutAt % (steps.length - 1));
      const whole = summaryOf(record(minutes, values), joined);
      const left = summaryOf(record(minutes.slice(0, cut), values.slice(0, cut)), joined);
      const right = summaryOf(record(minutes.slice(cut), values.slice(cut)), joined);
      const betweenMs = right.firstMs - left.lastMs;
      const coveredMs = betweenMs <= joined.maxGapMs ? betweenMs : 0;
      expect(whole).toEqual({
        count: left.count + right.count,
        firstMs: left.firstMs,
        lastMs: right.lastMs,
        firstValue: left.firstValue,
        lastValue: right.lastValue,
        min: Math.min(left.min, right.min),
        max: Math.max(left.max, right.max),
        coveredMs: left.coveredMs + right.coveredMs + coveredMs,
        area: left.area + right.area + (coveredMs * (left.lastValue + right.firstValue)) / 2,
      });
    }),
  );
});

test('no reading at all, or a longest gap of 0 ms, is refused', () => {
  expect(() => summaryOf(record([], []), joined)).toThrow(RangeError);
  expect(() => summaryOf(record([0], [1]), { maxGapMs: 0 })).toThrow(RangeError);
});

test('values at the ends of what a number can be come to finite sums', () => {
  const most = Number.MAX_VALUE;
  const timesMs = Float64Array.of(0, 60_000, 120_000, 180_000);
  const areaOf = (...values: number[]) =>
    summaryOf(
      { timesMs: timesMs.slice(0, values.length), values: Float64Array.from(values) },
      { maxGapMs: 900_000 },
    ).area;
  expect(areaOf(most, most)).toBe(most);
  expect(areaOf(-most, -most)).toBe(-most);
  expect(areaOf(most, 0, -most, -most)).toBe(0);
});
