import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { condensationMarginK } from '../../shared/climate/condensation.ts';
import { ppfdFromIrradiance } from '../../shared/climate/light.ts';
import { cappedExcessK, rootingExcessK } from '../../shared/climate/thermal-time.ts';
import { DISEASE_WETNESS, isWetInRange, type WetnessCondition } from '../../shared/climate/wet-hours.ts';

const conditions = Object.entries<WetnessCondition>(DISEASE_WETNESS);
const damp = { airTemperatureC: 20, relativeHumidityPct: 94, leafWetness: null };

describe('wet hours in a published range', () => {
  // [UMASS-BOTRYTIS], earlier sheet: 55 to 75 °F, 12.8 to 23.9 °C, 93 %RH; limits belong to the range.
  test.each([
    ['13 °C and 93 %RH', { airTemperatureC: 13, relativeHumidityPct: 93 }, true],
    ['24 °C and 93 %RH', { airTemperatureC: 24, relativeHumidityPct: 93 }, true],
    ['12.9 °C and 100 %RH', { airTemperatureC: 12.9, relativeHumidityPct: 100 }, false],
    ['24.1 °C and 100 %RH', { airTemperatureC: 24.1, relativeHumidityPct: 100 }, false],
    ['20 °C and 92.9 %RH', { relativeHumidityPct: 92.9 }, false],
    ['20 °C and 50 %RH on a wet leaf', { relativeHumidityPct: 50, leafWetness: 0.5 }, true],
    ['20 °C and 94 %RH on a dry leaf', { leafWetness: 0.49 }, true],
    ['30 °C on a wet leaf', { airTemperatureC: 30, leafWetness: 1 }, false],
  ])('%s counts for grey mould as extension has it: %s', (_, change, counted) => {
    expect(isWetInRange({ ...damp, ...change }, DISEASE_WETNESS['botrytis-extension'])).toBe(counted);
  });

  test('where a film is asked for, a probe that feels a dry leaf at 0.1 overrules 94 %RH', () => {
    const leaves = DISEASE_WETNESS['botrytis-geranium-leaves'];
    expect(isWetInRange(damp, leaves)).toBe(true);
    expect(isWetInRange({ ...damp, leafWetness: 0.1 }, leaves)).toBe(false);
    expect(isWetInRange({ ...damp, leafWetness: 0.9 }, leaves)).toBe(true);
  });

  // [SIRJUSINGH96]: 6 h at 15 °C, 4 h at 21 °C, 6 h at 25 and 30 °C on leaves; nothing at 5 to 10 °C in 24 h.
  test('geranium leaves need 6, 4, 6 and 6 h at 15, 21, 25 and 30 °C, and nothing counts at 10 °C', () => {
    const leaves = DISEASE_WETNESS['botrytis-geranium-leaves'];
    expect(leaves.hoursNeeded.map(({ temperatureC, hours }) => [temperatureC, hours])).toEqual([
      [15, 6],
      [21, 4],
      [25, 6],
      [30, 6],
    ]);
    expect(isWetInRange({ ...damp, airTemperatureC: 10, leafWetness: 1 }, leaves)).toBe(false);
  });

  test.each(conditions)('%s names a listed source, its mark, and hours inside its temperatures', (_, one) => {
    const bibliography = readFileSync(new URL('../../shared/sources.md', import.meta.url), 'utf8');
    expect(bibliography).toContain(`- ${one.source} `);
    expect(one.mark).toMatch(/seen|unattributed/);
    expect(one.temperatureLowC).toBeLessThan(one.temperatureHighC);
    for (const { temperatureC } of one.hoursNeeded) {
      expect(temperatureC).toBeGreaterThanOrEqual(one.temperatureLowC);
      expect(temperatureC).toBeLessThanOrEqual(one.temperatureHighC);
    }
  });
});

describe('capped thermal time', () => {
  // [WILKERSON05]: poinsettia, base 21 °C, fastest at 28 °C, slow at 20 °C or below, none at 32 °C or above.
  test.each([
    [20, 0],
    [21, 0],
    [24.5, 3.5],
    [28, 7],
    [35, 7],
  ])('a root zone of %d °C counts %d K for poinsettia', (temperatureC, kelvin) => {
    expect(cappedExcessK({ temperatureC, baseC: 21, upperC: 28 })).toBe(kelvin);
  });
});

describe('thermal time with a stop', () => {
  // [WILKERSON05]: no root at 32 °C or above; a straight line between optimum and stop, so 24 h at 30 °C are 3.5 °C·d
  test.each([
    [20, 0],
    [24, 3],
    [28, 7],
    [30, 3.5],
    [32, 0],
    [40, 0],
  ])('a day at %d °C counts %d °C·d for poinsettia', (temperatureC, kelvin) => {
    expect(rootingExcessK({ temperatureC, baseC: 21, optimumC: 28, stopC: 32 })).toBe(kelvin);
  });
});

test.each([
  [
    '101 %RH',
    () => isWetInRange({ ...damp, relativeHumidityPct: 101 }, DISEASE_WETNESS['botrytis-extension']),
  ],
  ['wetness 1.1', () => isWetInRange({ ...damp, leafWetness: 1.1 }, DISEASE_WETNESS['botrytis-extension'])],
  ['151 °C', () => isWetInRange({ ...damp, airTemperatureC: 151 }, DISEASE_WETNESS['botrytis-extension'])],
  ['an upper limit at the base', () => cappedExcessK({ temperatureC: 20, baseC: 21, upperC: 21 })],
  ['a stop at the optimum', () => rootingExcessK({ temperatureC: 20, baseC: 21, optimumC: 28, stopC: 28 })],
  ['NaN °C', () => cappedExcessK({ temperatureC: Number.NaN, baseC: 21, upperC: 28 })],
  ['a wall of −151 °C', () => condensationMarginK({ ...damp, surfaceTemperatureC: -151 })],
  ['−1 W/m²', () => ppfdFromIrradiance({ irradianceWM2: -1, umolPerJ: 2 })],
  ['0 µmol/J', () => ppfdFromIrradiance({ irradianceWM2: 1, umolPerJ: 0 })],
  ['6.1 µmol/J', () => ppfdFromIrradiance({ irradianceWM2: 1, umolPerJ: 6.1 })],
])('%s is refused', (_, call) => {
  expect(call).toThrow(RangeError);
});
