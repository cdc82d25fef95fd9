import { expect, test } from 'vitest';
import { mergedTimesMs, probeRecord } from '../../../../shared/exposure/series.ts';

test('a record keeps its 2 readings', () => {
  const record = probeRecord({ timesMs: [0, 60_000], values: [21, 22] });
  expect([...record.timesMs]).toEqual([0, 60_000]);
  expect([...record.values]).toEqual([21, 22]);
});

test.each([
  ['2 times and 1 value', { timesMs: [0, 1], values: [21] }, /2 times but 1 values/],
  ['a time that repeats', { timesMs: [5, 5], values: [21, 22] }, /reading 1: time 5 does not come after 5/],
  ['a time that steps back', { timesMs: [5, 4], values: [21, 22] }, /does not come after/],
  ['a value that is not a number', { timesMs: [5], values: [Number.NaN] }, /expected finite/],
  ['an endless time', { timesMs: [Number.POSITIVE_INFINITY], values: [21] }, /expected finite/],
])('%s is refused', (_, readings, message) => {
  expect(() => probeRecord(readings)).toThrow(message);
  expect(() => probeRecord(readings)).toThrow(RangeError);
});

test('3 records with 7 readings at 5 different times merge into those 5, ascending', () => {
  const at = (...timesMs: number[]) => probeRecord({ timesMs, values: timesMs.map(() => 20) });
  expect([...mergedTimesMs([at(3, 9), at(1, 3, 7), at(9, 12)])]).toEqual([1, 3, 7, 9, 12]);
  expect([...mergedTimesMs([])]).toEqual([]);
});
