import { expect, test } from 'vitest';
import { plainPath, plainQuantities, plainText } from '../../../../web/place/other-readings.ts';
import { nowValue, placeNamed } from '../examples.ts';

const BOX = { fromMs: 0, toMs: 100, width: 200, height: 40 };

test('leaf temperature, wetness, valve and battery are listed plainly; air and light, which have a place of their own, are not', () => {
  const { now } = placeNamed('bench', {
    leafTemperatureC: nowValue(23, 'unjudged'),
    leafWetness: nowValue(0.4, 'unjudged'),
    mistValve: nowValue(0, 'unjudged'),
    batteryLevelPct: nowValue(81, 'unjudged'),
    illuminanceLx: nowValue(9_000, 'unjudged'),
  });
  expect(plainQuantities(now)).toEqual(['leafTemperatureC', 'leafWetness', 'mistValve', 'batteryLevelPct']);
});

test.each([
  ['leafTemperatureC', 20, 'C', '20.0 °C'],
  ['leafTemperatureC', 20, 'F', '68.0 °F'],
  ['leafWetness', 0.456, 'C', '0.46'],
  ['batteryLevelPct', 81.4, 'F', '81 %'],
] as const)('%s of %s reads in °%s as %s', (name, value, unit, text) => {
  expect(plainText(name, value, unit)).toBe(text);
});

test('a gap breaks the line, a lone point is a dot, and the lowest and highest are said', () => {
  const points = [
    { tMs: 0, value: 10 },
    { tMs: 25, value: 20 },
    { tMs: 50, value: null },
    { tMs: 75, value: 15 },
  ];
  // by hand: 200 px for 100 ms, 40 px from 20 at the top to 10 at the foot
  expect(plainPath(points, BOX)).toEqual({
    path: 'M0.0 40.0L50.0 0.0M150.0 20.0h0.01',
    low: 10,
    high: 20,
  });
  expect(plainPath([{ tMs: 50, value: null }], BOX)).toBeNull();
  expect(plainPath([{ tMs: 50, value: 7 }], BOX)?.path).toBe('M100.0 20.0h0.01');
});
