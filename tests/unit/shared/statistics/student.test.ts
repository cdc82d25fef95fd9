import { expect, test } from 'vitest';
import { meanOfFew, studentT95 } from '../../../../shared/statistics/student.ts';

// [AS64] table 26.10, two-sided 0.95
test.each([
  [1, '12.706'],
  [2, '4.303'],
  [3, '3.182'],
  [4, '2.776'],
  [5, '2.571'],
  [10, '2.228'],
  [15, '2.131'],
  [30, '2.042'],
  [60, '2.000'],
  [120, '1.980'],
])('with %d degrees of freedom t is %s', (degreesOfFreedom, expected) => {
  expect(studentT95(degreesOfFreedom).toFixed(3)).toBe(expected);
});

test.each([0, 1.5, -1, Number.NaN])('%d degrees of freedom are refused', (degreesOfFreedom) => {
  expect(() => studentT95(degreesOfFreedom)).toThrow(RangeError);
});

// By hand: mean 1000, s = 100, t(2) = 4.3027; mean ± 4.3027 × 100 / √3 = 248.4; next ± 4.3027 × 100 × √(4/3) = 496.8
test('of 900, 1000 and 1100 the mean lies within 248 of 1000, and the next within 497', () => {
  const { mean, standardDeviation, mean95, next95 } = meanOfFew([900, 1000, 1100]);
  expect([mean, standardDeviation]).toEqual([1000, 100]);
  expect(mean95.high - 1000).toBeCloseTo(248.41, 2);
  expect(1000 - next95.low).toBeCloseTo(496.83, 2);
});

test('one value, none, or one that is no number are refused', () => {
  expect(() => meanOfFew([])).toThrow('were none');
  expect(() => meanOfFew([3])).toThrow(RangeError);
  expect(() => meanOfFew([3, Number.NaN])).toThrow(RangeError);
});
