import { expect, test } from 'vitest';
import { ICE_POINT, SALT_NAMES, saltHumidityPct } from '../../../../shared/climate/salts.ts';

// [GREENSPAN77] table 2, %RH ± %RH, read as quoted elsewhere from the original. The source's table is its equation cut
// off, not rounded, to 0.01: hence the tolerance of 0.01.
test.each([
  ['magnesium chloride', 15, 33.3, 0.21],
  ['magnesium chloride', 20, 33.07, 0.18],
  ['magnesium chloride', 25, 32.78, 0.16],
  ['magnesium chloride', 30, 32.44, 0.14],
  ['sodium chloride', 15, 75.61, 0.18],
  ['sodium chloride', 20, 75.47, 0.14],
  ['sodium chloride', 25, 75.29, 0.12],
  ['sodium chloride', 30, 75.09, 0.11],
] as const)(
  'over %s at %d °C stand %d %RH, cut off at 0.01, ± %d',
  (salt, temperatureC, pct, uncertainty) => {
    const point = saltHumidityPct({ salt, temperatureC });
    expect(point?.value).toBeGreaterThanOrEqual(pct);
    expect(point?.value).toBeLessThan(pct + 0.01);
    expect(point?.uncertainty).toBe(uncertainty);
  },
);

// The same table rounded to 0.1 %RH, as two other publications quote it (seen): 0.05 is that rounding. The quoted
// uncertainties of potassium sulfate are 0.6, 0.5 and 0.4 %RH.
test.each([
  ['lithium chloride', 20, 11.3],
  ['lithium chloride', 25, 11.3],
  ['potassium sulfate', 20, 97.6],
  ['potassium sulfate', 25, 97.3],
  ['potassium sulfate', 30, 97.0],
  ['magnesium chloride', 20, 33.1],
  ['sodium chloride', 20, 75.5],
] as const)('over %s at %d °C stand %d %RH, to 0.05', (salt, temperatureC, pct) => {
  const value = saltHumidityPct({ salt, temperatureC })?.value ?? Number.NaN;
  expect(Math.abs(value - pct)).toBeLessThanOrEqual(0.05);
});

// Wexler and Hasegawa (1954), J. Res. NBS 53(1), abstract seen: over sodium chloride 74.9 %RH at 0 °C, 75.6 at its highest
// near 30 °C, 74.7 at 50 °C. An independent measurement; [GREENSPAN77] itself lies up to 0.7 %RH from it.
test.each([
  [0, 74.9],
  [30, 75.6],
  [50, 74.7],
])(
  'over sodium chloride at %d °C another laboratory measured %d %RH: ours is within 0.7',
  (temperatureC, pct) => {
    const value = saltHumidityPct({ salt: 'sodium chloride', temperatureC })?.value ?? Number.NaN;
    expect(Math.abs(value - pct)).toBeLessThanOrEqual(0.7);
  },
);

test('at 17.5 °C the uncertainty over sodium chloride is 0.16 %RH, midway between 0.18 and 0.14', () => {
  expect(saltHumidityPct({ salt: 'sodium chloride', temperatureC: 17.5 })?.uncertainty).toBeCloseTo(0.16, 10);
});

test('where the table was not read, at 10 and 35 °C, the uncertainty is the bound of 0.4 %RH', () => {
  for (const temperatureC of [10, 35])
    expect(saltHumidityPct({ salt: 'magnesium chloride', temperatureC })?.uncertainty).toBe(0.4);
});

test('below 0 and above 50 °C no salt has a value, nor where the temperature is no number', () => {
  for (const salt of SALT_NAMES) {
    for (const temperatureC of [-0.1, 50.1, Number.NaN])
      expect(saltHumidityPct({ salt, temperatureC })).toBeNull();
    expect(saltHumidityPct({ salt, temperatureC: 0 })).not.toBeNull();
    expect(saltHumidityPct({ salt, temperatureC: 50 })).not.toBeNull();
  }
});

// ITS-90: melting ice in air-saturated water at one atmosphere is 0.00 °C [MSL-ICE].
test('the ice point is 0 °C, within 0.1 K for a bath made at home', () => {
  expect(ICE_POINT).toEqual({ value: 0, uncertainty: 0.1 });
});
