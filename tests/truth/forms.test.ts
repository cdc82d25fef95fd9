import { expect, test } from 'vitest';
import { saturationPressureOverWaterKpa } from '../../shared/climate/saturation.ts';
import { differences } from './differences.ts';
import { evaluateFormRows, FORMS } from './forms.ts';

const evaluated = evaluateFormRows();

test('other-forms.json holds 33 rows for 5 formulations that this project does not use', () => {
  expect(evaluated).toHaveLength(33);
  expect(new Set(evaluated.map(({ row }) => row.applies_to)).size).toBe(5);
});

test.each(evaluated)('$row.id: $row.applies_to gives $row.expected $row.unit', ({ row, error }) => {
  expect(error, row.source).toBeLessThanOrEqual(row.tolerance);
});

// Worked out apart from this code, printed to 0.01 Pa; Sonntag (1990) has no row of its own, so its table stands here.
test.each([
  ['tetens-fao56', 25, -1.44],
  ['tetens-fao56', 35, -5.14],
  ['buck1981', 25, -2.18],
  ['buck1981', 35, -1.91],
  ['magnus-wmo8', 25, -9.16],
  ['magnus-wmo8', 35, -14.98],
  ['sonntag1990', 25, 3169.9 - 3169.22],
  ['sonntag1990', 45, 9595.57 - 9593.22],
] as const)('%s less Hyland–Wexler at %d °C is %d Pa', (form, celsius, pa) => {
  const oursPa = saturationPressureOverWaterKpa(celsius) * 1000;
  expect(Math.abs(FORMS[form].saturationPa(celsius) - oursPa - pa)).toBeLessThanOrEqual(0.011);
});

test('13 differences are stated, each of 0.01 to 13 %, and 3 of them are marked as from memory', () => {
  const found = differences();
  expect(found).toHaveLength(13);
  expect(found.filter(({ recalled }) => recalled)).toHaveLength(3);
  for (const { other, worst } of found) {
    expect(Math.abs(worst), other).toBeGreaterThan(1e-4);
    expect(Math.abs(worst), other).toBeLessThan(0.13);
  }
});

test('no form but the two Magnus-like ones, Bolton and WMO-No. 8, is over 0.12 % from ours between 5 and 45 °C', () => {
  const far = differences().filter(
    ({ quantity, worst }) => quantity.startsWith('saturation') && Math.abs(worst) > 0.0012,
  );
  expect(far.map(({ other }) => other)).toEqual(['Bolton (1980)', 'Magnus, as in WMO-No. 8']);
});
