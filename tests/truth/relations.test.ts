import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { condensationMarginK } from '../../shared/climate/condensation.ts';
import {
  absoluteHumidityGM3,
  airVpdKpa,
  dewPointC,
  humidityRatioKgKg,
  leafVpdKpa,
  vapourPressureKpa,
} from '../../shared/climate/humidity.ts';
import { ppfdFromIlluminance } from '../../shared/climate/light.ts';
import { standardPressureKpa } from '../../shared/climate/pressure.ts';
import {
  lnCurvatureOverWater,
  lnSaturationOverIce,
  lnSaturationOverWater,
  lnSlopeOverIce,
  lnSlopeOverWater,
  saturationPressureOverWaterKpa,
} from '../../shared/climate/saturation.ts';
import { wetBulbC } from '../../shared/climate/wetbulb.ts';
import {
  celsiusFromFahrenheit,
  celsiusFromKelvin,
  fahrenheitDifferenceFromKelvinDifference,
  fahrenheitFromCelsius,
} from '../../shared/quantities.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const air = fc.record({ airTemperatureC: between(-60, 100), relativeHumidityPct: between(0.01, 100) });
const pressureKpa = 101.325;
fc.configureGlobal({ seed: 1, numRuns: 1000 });

describe('there and back', () => {
  test('dew point gives back the vapour pressure within 1e-9 of its size, from −60 to 100 °C and 0.01 to 100 %RH', () => {
    fc.assert(
      fc.property(air, (state) => {
        const vapourKpa = vapourPressureKpa(state);
        expect(saturationPressureOverWaterKpa(dewPointC(state)) / vapourKpa).toBeCloseTo(1, 9);
      }),
    );
  });

  test('the slope of the logarithm of saturation is its finite difference over 0.02 K within 1e-7 of its size, over water and ice', () => {
    for (let kelvin = 175; kelvin < 420; kelvin += 1) {
      const water = (lnSaturationOverWater(kelvin + 0.01) - lnSaturationOverWater(kelvin - 0.01)) / 0.02;
      expect(water / lnSlopeOverWater(kelvin)).toBeCloseTo(1, 7);
      const ice = (lnSaturationOverIce(kelvin + 0.01) - lnSaturationOverIce(kelvin - 0.01)) / 0.02;
      expect(ice / lnSlopeOverIce(kelvin)).toBeCloseTo(1, 7);
    }
  });

  test('the curvature of its logarithm is the finite difference of the slope over 0.02 K within 1e-7 of its size', () => {
    for (let kelvin = 175; kelvin < 420; kelvin += 1) {
      const water = (lnSlopeOverWater(kelvin + 0.01) - lnSlopeOverWater(kelvin - 0.01)) / 0.02;
      expect(water / lnCurvatureOverWater(kelvin)).toBeCloseTo(1, 7);
    }
  });

  test('212 °F is 100 °C, −40 is −40 on both, 273.15 K is 0 °C, and a step of 10 K is one of 18 °F', () => {
    expect(celsiusFromFahrenheit(212)).toBe(100);
    expect(celsiusFromFahrenheit(-40)).toBe(-40);
    expect(fahrenheitFromCelsius(-40)).toBe(-40);
    expect(fahrenheitFromCelsius(37)).toBeCloseTo(98.6, 12);
    expect(celsiusFromKelvin(273.15)).toBe(0);
    expect(fahrenheitDifferenceFromKelvinDifference(10)).toBe(18);
  });
});

describe('which way it goes', () => {
  test('air 0.01 °C warmer holds more, all the way from −150 to 150 °C over water and to 0 °C over ice', () => {
    for (let step = -15_000; step < 15_000; step += 1) {
      const [cool, warm] = [step / 100, (step + 1) / 100];
      expect(saturationPressureOverWaterKpa(warm)).toBeGreaterThan(saturationPressureOverWaterKpa(cool));
      if (step < 0)
        expect(lnSaturationOverIce(warm + 273.15)).toBeGreaterThan(lnSaturationOverIce(cool + 273.15));
    }
  });

  test('below freezing ice is saturated at a lower pressure than water: by 9 to 11 % at −10 °C', () => {
    // [WMO8] annex 4.B forms give 260.0 and 286.5 Pa, a ratio of 0.907.
    const ratio = Math.exp(lnSaturationOverIce(263.15) - lnSaturationOverWater(263.15));
    expect(ratio).toBeGreaterThan(0.89);
    expect(ratio).toBeLessThan(0.91);
  });

  test('air 1 %RH drier has a lower dew point and wet bulb and a larger deficit', () => {
    for (let humidity = 2; humidity <= 100; humidity += 1) {
      const wetter = { airTemperatureC: 24, relativeHumidityPct: humidity, pressureKpa };
      const drier = { ...wetter, relativeHumidityPct: humidity - 1 };
      expect(dewPointC(drier)).toBeLessThan(dewPointC(wetter));
      expect(wetBulbC(drier)).toBeLessThan(wetBulbC(wetter));
      expect(airVpdKpa(drier)).toBeGreaterThan(airVpdKpa(wetter));
    }
  });

  test('at 100 %RH dew point and wet bulb are the air temperature and the deficit is 0, at 21 temperatures', () => {
    for (let airTemperatureC = 0; airTemperatureC <= 60; airTemperatureC += 3) {
      const saturated = { airTemperatureC, relativeHumidityPct: 100 };
      expect(dewPointC(saturated)).toBeCloseTo(airTemperatureC, 9);
      expect(wetBulbC({ ...saturated, pressureKpa })).toBeCloseTo(airTemperatureC, 5);
      expect(airVpdKpa(saturated)).toBe(0);
      expect(leafVpdKpa({ ...saturated, leafTemperatureC: airTemperatureC })).toBe(0);
    }
  });

  test('dew point, then wet bulb, then air temperature: in this order in 1000 states from 0.1 to 60 °C', () => {
    fc.assert(
      fc.property(between(0.1, 60), between(1, 100), (airTemperatureC, relativeHumidityPct) => {
        const state = { airTemperatureC, relativeHumidityPct };
        const wetC = wetBulbC({ ...state, pressureKpa });
        expect(dewPointC(state)).toBeLessThanOrEqual(wetC + 1e-5);
        expect(wetC).toBeLessThanOrEqual(airTemperatureC);
      }),
    );
  });

  test('a leaf 1 °C cooler than saturated air at 22 °C gathers dew: its deficit is below 0', () => {
    const state = { airTemperatureC: 22, relativeHumidityPct: 100, leafTemperatureC: 21 };
    expect(leafVpdKpa(state)).toBeLessThan(0);
  });
});

describe('the edges', () => {
  test('every temperature from −150 to 150 °C and every humidity above 0, even 5e-324 %RH, has a finite dew point', () => {
    for (let airTemperatureC = -150; airTemperatureC <= 150; airTemperatureC += 1)
      for (const humidity of [Number.MIN_VALUE, 1e-300, 1e-9, 0.01, 1, 99.99, 100]) {
        const state = { airTemperatureC, relativeHumidityPct: humidity };
        expect(Number.isFinite(dewPointC(state))).toBe(true);
        expect(dewPointC(state)).toBeLessThanOrEqual(airTemperatureC);
      }
  });

  test('every state whose vapour pressure is under the air pressure has a finite wet bulb, −149 to 150 °C, 0 to 100 %RH', () => {
    fc.assert(
      fc.property(between(-149, 150), between(0, 100), between(20, 120), (airTemperatureC, humidity, kpa) => {
        const state = { airTemperatureC, relativeHumidityPct: humidity };
        fc.pre(vapourPressureKpa(state) < kpa * 0.999);
        const wetC = wetBulbC({ ...state, pressureKpa: kpa });
        expect(Number.isFinite(wetC)).toBe(true);
        expect(wetC).toBeLessThan(airTemperatureC + 2);
      }),
    );
  });

  const dry = { airTemperatureC: 24, relativeHumidityPct: 50 };
  test.each([
    [
      '−150.1 °C',
      () => saturationPressureOverWaterKpa(-150.1),
      'temperature must be from -150 to 150 °C, was -150.1',
    ],
    ['150.1 °C', () => saturationPressureOverWaterKpa(150.1), 'temperature must be from -150 to 150 °C'],
    ['NaN °C', () => saturationPressureOverWaterKpa(Number.NaN), 'was NaN'],
    [
      '100.1 %RH',
      () => vapourPressureKpa({ ...dry, relativeHumidityPct: 100.1 }),
      'from 0 to 100 %RH, was 100.1',
    ],
    ['−0.1 %RH', () => airVpdKpa({ ...dry, relativeHumidityPct: -0.1 }), 'from 0 to 100 %RH, was -0.1'],
    ['NaN %RH', () => airVpdKpa({ ...dry, relativeHumidityPct: Number.NaN }), 'was NaN'],
    [
      'a dew point of 0 %RH',
      () => dewPointC({ ...dry, relativeHumidityPct: 0 }),
      'must be above 0, up to 100 %RH',
    ],
    ['a leaf at 151 °C', () => leafVpdKpa({ ...dry, leafTemperatureC: 151 }), 'from -150 to 150 °C, was 151'],
    [
      '19 kPa',
      () => humidityRatioKgKg({ vapourPressureKpa: 1, pressureKpa: 19 }),
      'pressure must be from 20 to 120 kPa',
    ],
    [
      'vapour at the air pressure',
      () => humidityRatioKgKg({ vapourPressureKpa: 100, pressureKpa: 100 }),
      '100 kPa',
    ],
    [
      'steam at 120 °C',
      () => wetBulbC({ airTemperatureC: 120, relativeHumidityPct: 90, pressureKpa }),
      'below 101.325',
    ],
    [
      '−1 kPa',
      () => absoluteHumidityGM3({ airTemperatureC: 20, vapourPressureKpa: -1 }),
      'from 0 to 500 kPa',
    ],
    [
      'a wall at −151 °C',
      () => condensationMarginK({ ...dry, surfaceTemperatureC: -151 }),
      'from -150 to 150 °C, was -151',
    ],
    ['11 000 m', () => standardPressureKpa(11_000), 'altitude must be from -500 to 10000 m, was 11000'],
    ['−1 lx', () => ppfdFromIlluminance({ illuminanceLx: -1, lxPerUmol: 54 }), 'from 0 to 200000 lx, was -1'],
    [
      '0 lx a µmol',
      () => ppfdFromIlluminance({ illuminanceLx: 1, lxPerUmol: 0 }),
      'above 0 lx per µmol m⁻² s⁻¹',
    ],
  ])('%s is refused with the quantity, its range and its unit', (_, call, message) => {
    expect(call).toThrow(RangeError);
    expect(call).toThrow(message);
  });
});
