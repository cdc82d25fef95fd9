import { expect, test } from 'vitest';
import {
  countText,
  degreeHoursText,
  differenceText,
  fixed,
  readingDifference,
  readingTemperature,
  temperatureText,
  vpdText,
} from '../../../../web/common/format.ts';

// The scales by definition: water freezes at 0 °C = 32 °F, 100 °C = 212 °F, both scales meet at −40; exact.
test.each([
  [0, 32],
  [100, 212],
  [-40, -40],
])('%f °C is read as %f °F', (celsius, fahrenheit) => {
  expect(readingTemperature(celsius, 'F')).toBe(fahrenheit);
});

// 5 K are 9 °F of difference by definition: the 32 of the scale is not added.
test('a difference of 5 K is read as 9 °F and stays 5 in °C', () => {
  expect(readingDifference(5, 'F')).toBe(9);
  expect(readingDifference(5, 'C')).toBe(5);
});

test('10 °C·h are read as 18.0 °F·h', () => {
  expect(degreeHoursText(10, 'F')).toBe('18.0\u00a0°F·h');
  expect(degreeHoursText(10, 'C')).toBe('10.0\u00a0°C·h');
});

test('a temperature has one decimal, a deficit two', () => {
  expect(temperatureText(28.94, 'C')).toBe('28.9');
  expect(vpdText(0.2)).toBe('0.20');
});

test('−3.2 carries a true minus, and −0.04 rounds to 0.0 without a sign', () => {
  expect(fixed(-3.2, 1)).toBe('\u22123.2');
  expect(fixed(-0.04, 1)).toBe('0.0');
});

test('a difference of −1.7 K is written without a sign, for the words give the direction', () => {
  expect(differenceText(-1.7, 'C')).toBe('1.7');
});

test('41 000 and 1 234 567 are parted in threes, 864 is not', () => {
  expect([41_000, 1_234_567, 864].map(countText)).toEqual(['41\u202f000', '1\u202f234\u202f567', '864']);
});
