import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  absoluteHumidityGM3,
  airVpdKpa,
  dewPointC,
  vapourPressureKpa,
} from '../../shared/climate/humidity.ts';
import { airErrorRange, humidityErrorPct, SENSOR_CLASSES } from '../../shared/climate/sensor-error.ts';
import { wetBulbC } from '../../shared/climate/wetbulb.ts';

fc.configureGlobal({ seed: 1, numRuns: 1000 });

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const reading = fc.record({
  airTemperatureC: between(-20, 60),
  relativeHumidityPct: between(1, 100),
  temperatureErrorK: between(0, 2),
  humidityErrorPct: between(0, 5),
});
const wet = { airTemperatureC: 24, relativeHumidityPct: 95, temperatureErrorK: 0, humidityErrorPct: 2 };
const chip = SENSOR_CLASSES['digital capacitive chip'];

describe('the error of the vapour pressure deficit', () => {
  // 2 %RH of the 5 %RH that are left to saturation, by the definition of the deficit.
  test('at 95 %RH a ±2 %RH probe is ±40 % of the deficit, at 11 temperatures from 0 to 50 °C', () => {
    for (let airTemperatureC = 0; airTemperatureC <= 50; airTemperatureC += 5) {
      const at = { ...wet, airTemperatureC };
      const { low, value, high } = airErrorRange(at, airVpdKpa);
      expect(low / value).toBeCloseTo(0.6, 12);
      expect(high / value).toBeCloseTo(1.4, 12);
    }
  });

  // Common practice, worked out with Tetens to 0.01 kPa.
  test.each([
    [3, 0.09],
    [2, 0.06],
  ])('at 24 °C and 90 %RH ±%d %%RH is ±%d kPa within 0.005 kPa', (humidityErrorPct, kpa) => {
    const { value, high } = airErrorRange({ ...wet, relativeHumidityPct: 90, humidityErrorPct }, airVpdKpa);
    expect(Math.abs(high - value - kpa)).toBeLessThanOrEqual(0.005);
  });

  test('at 99 ± 2 %RH the deficit is from 0 to three times itself: no air is above 100 %RH', () => {
    const { low, value, high } = airErrorRange({ ...wet, relativeHumidityPct: 99 }, airVpdKpa);
    expect(low).toBe(0);
    expect(high / value).toBeCloseTo(3, 12);
  });

  test('no state between the corners is outside the range, for 4 quantities in 1000 readings', () => {
    const quantities = [
      airVpdKpa,
      dewPointC,
      (air: Parameters<typeof airVpdKpa>[0]) => wetBulbC({ ...air, pressureKpa: 101.325 }),
      (air: Parameters<typeof airVpdKpa>[0]) =>
        absoluteHumidityGM3({ ...air, vapourPressureKpa: vapourPressureKpa(air) }),
    ];
    fc.assert(
      fc.property(reading, between(-1, 1), between(-1, 1), (at, warm, moist) => {
        fc.pre(at.relativeHumidityPct - at.humidityErrorPct > 0.1 && at.airTemperatureC > 5);
        const inside = {
          airTemperatureC: at.airTemperatureC + warm * at.temperatureErrorK,
          relativeHumidityPct: Math.min(100, at.relativeHumidityPct + moist * at.humidityErrorPct),
        };
        for (const quantity of quantities) {
          const { low, high } = airErrorRange(at, quantity);
          expect(quantity(inside)).toBeGreaterThanOrEqual(low - 1e-5);
          expect(quantity(inside)).toBeLessThanOrEqual(high + 1e-5);
        }
      }),
    );
  });
});

describe('the error of the dew point', () => {
  test('of saturated air is that of the thermometer: 0.3 K', () => {
    const at = { ...wet, relativeHumidityPct: 100, temperatureErrorK: 0.3, humidityErrorPct: 0 };
    const range = airErrorRange(at, dewPointC);
    expect(range.low).toBeCloseTo(23.7, 9);
    expect(range.high).toBeCloseTo(24.3, 9);
  });

  // [ASHRAE17] ch. 1 eq. 6 by psychrolib: dew points of 97 and 93 %RH at 24 °C are 23.4939 and 22.7975 °C; 5e-4 covers their rounding.
  test('at 24 °C and 95 ± 2 %RH reaches from 22.80 to 23.49 °C', () => {
    const { low, high } = airErrorRange(wet, dewPointC);
    expect(low).toBeCloseTo(22.7975, 3);
    expect(high).toBeCloseTo(23.4939, 3);
  });

  test('at 1 ± 2 %RH has no low end: air without vapour has no dew point', () => {
    expect(() => airErrorRange({ ...wet, relativeHumidityPct: 1 }, dewPointC)).toThrow(RangeError);
  });
});

describe('classes of sensors', () => {
  test('a chip is good to 2 %RH at 50, 3 at 85 and 4 at 95 %RH, where that is 80 % of the deficit', () => {
    const errorAt = (relativeHumidityPct: number) => humidityErrorPct({ sensor: chip, relativeHumidityPct });
    expect([0, 10, 20, 50, 80, 85, 90, 95, 100].map(errorAt)).toEqual([4, 4, 2, 2, 2, 3, 4, 4, 4]);
    const { low, value } = airErrorRange({ ...wet, humidityErrorPct: errorAt(95) ?? 0 }, airVpdKpa);
    expect(1 - low / value).toBeCloseTo(0.8, 12);
  });

  test('a one-wire thermometer reads to 0.5 K and no humidity: null', () => {
    const sensor = SENSOR_CLASSES['one-wire thermometer'];
    expect(sensor.temperatureErrorK).toBe(0.5);
    expect(humidityErrorPct({ sensor, relativeHumidityPct: 50 })).toBeNull();
  });
});

test.each([
  ['an error of −0.1 K', () => airErrorRange({ ...wet, temperatureErrorK: -0.1 }, airVpdKpa), '0 to 20 K'],
  [
    'an error of 101 %RH',
    () => airErrorRange({ ...wet, humidityErrorPct: 101 }, airVpdKpa),
    '0 to 100 %RH, was 101',
  ],
  ['NaN K', () => airErrorRange({ ...wet, temperatureErrorK: Number.NaN }, airVpdKpa), 'was NaN'],
  ['102 %RH', () => airErrorRange({ ...wet, relativeHumidityPct: 102 }, airVpdKpa), '0 to 100 %RH, was 102'],
  ['0 %RH', () => airErrorRange({ ...wet, relativeHumidityPct: 0 }, dewPointC), 'above 0, up to 100 %RH'],
  ['a chip at −1 %RH', () => humidityErrorPct({ sensor: chip, relativeHumidityPct: -1 }), '0 to 100 %RH'],
])('%s is refused', (_, call, message) => {
  expect(call).toThrow(RangeError);
  expect(call).toThrow(message);
});
