import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { heatConductanceWM2K, radiationConductanceWM2K } from '../../shared/climate/leaf-film.ts';
import {
  type LeafInLight,
  leafAboveAirK,
  leafAboveAirRangeK,
} from '../../shared/climate/leaf-temperature.ts';

const leaf: LeafInLight = {
  ...{ airTemperatureC: 24, ppfdUmolM2S: 600, lightSource: 'daylight' },
  ...{ airSpeedMS: 0.1, leafWidthM: 0.05 },
};
const damp = { relativeHumidityPct: 95, pressureKpa: 101.325 };
const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const anyLeaf = fc.record({
  airTemperatureC: between(0, 60),
  ppfdUmolM2S: between(0, 2_500),
  lightSource: fc.constantFrom('daylight' as const, 'metal halide' as const),
  airSpeedMS: between(0, 5),
  leafWidthM: between(0.01, 0.2),
  relativeHumidityPct: between(0, 100),
  pressureKpa: between(60, 105),
});

describe('a dry leaf in light', () => {
  // by hand: 600 / 2.06 × 0.5 = 145.6 W/m²; 0.2450 × 0.135/0.147 × 29.3 = 6.59 and 5.77 W/m²K a side; 145.6 / 24.7
  test('600 µmol m⁻² s⁻¹ of daylight at 0.1 m/s warm a leaf 5 cm wide by 5.9 K', () => {
    expect(leafAboveAirK(leaf)).toBeCloseTo(145.63 / (2 * (6.592 + 5.77)), 1);
  });

  test('is as warm as the air in the dark, warmer in more light, cooler in more wind', () => {
    expect(leafAboveAirK({ ...leaf, ppfdUmolM2S: 0 })).toBe(0);
    expect(leafAboveAirK({ ...leaf, ppfdUmolM2S: 900 })).toBeGreaterThan(leafAboveAirK(leaf));
    expect(leafAboveAirK({ ...leaf, airSpeedMS: 1 })).toBeLessThan(leafAboveAirK(leaf));
  });

  test('gives off what it takes up, to 0.001 W/m², for 1000 leaves', () => {
    fc.assert(
      fc.property(anyLeaf, (one) => {
        const aboveK = leafAboveAirK({ ...one, lightSource: 'daylight' });
        const heat = heatConductanceWM2K({ ...one, leafMinusAirK: aboveK });
        const lost = 2 * (heat + radiationConductanceWM2K(one.airTemperatureC)) * aboveK;
        expect(Math.abs(lost - (one.ppfdUmolM2S / 2.06) * 0.5)).toBeLessThan(1e-3);
      }),
    );
  });
});

describe('what the estimate leaves open', () => {
  // 500 W/m² of shortwave are 500 × 2.06 µmol; the tip loses water and lies within a plant: it must lie in the range
  test('holds the 3.3 ± 0.8 K of a poinsettia shoot tip in 500 W/m² at 0.44 m/s [SHOOTTIP04], in air from 15 to 30 °C', () => {
    for (const airTemperatureC of [15, 20, 25, 30]) {
      const sunny = { ...leaf, airTemperatureC, ppfdUmolM2S: 1_030, airSpeedMS: 0.44 };
      const { low, high } = leafAboveAirRangeK({ ...sunny, relativeHumidityPct: 60, pressureKpa: 101.325 });
      expect(low).toBeLessThan(3.3 - 0.8);
      expect(high).toBeGreaterThan(3.3 + 0.8);
    }
  });

  // leaves in still humid sun: up to 10 to 15 K above the air (a forest meteorology text, seen)
  test('reaches 10 K and no more than 16 in still humid air under 1000 µmol m⁻² s⁻¹', () => {
    const { high } = leafAboveAirRangeK({ ...leaf, ...damp, ppfdUmolM2S: 1_000, airSpeedMS: 0 });
    expect(high).toBeGreaterThan(10);
    expect(high).toBeLessThan(16);
  });

  test('always holds the estimate itself, and is nothing in the dark', () => {
    fc.assert(
      fc.property(anyLeaf, (one) => {
        const { low, high } = leafAboveAirRangeK(one);
        const aboveK = leafAboveAirK(one);
        expect(low).toBeLessThanOrEqual(aboveK);
        expect(high).toBeGreaterThanOrEqual(aboveK);
      }),
      { numRuns: 300 },
    );
    expect(leafAboveAirRangeK({ ...leaf, ...damp, ppfdUmolM2S: 0 })).toEqual({ low: 0, high: 0 });
  });
});
