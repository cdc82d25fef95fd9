import { expect, test } from 'vitest';
import { formOf } from '../../../../../web/place/forms/targets-form.ts';
import { ceilingWarning } from '../../../../../web/place/forms/targets-warning.ts';
import { TARGETS } from '../../examples.ts';

/** The sheet's air: 21.1 to 26.7 °C by day, 13 to 18 °C by night, ceiling 26.7 °C. */
const withCeiling = (typed: string) => ({ ...formOf(TARGETS), 'air.ceilingC': typed });

test('a ceiling of 25 °C below a band up to 26.7 °C is warned of, in the unit of the reader; one of 26.7 °C is not', () => {
  expect(ceilingWarning(withCeiling('25'), 'C')).toContain('below 26.7 °C');
  const fahrenheit = { ...formOf(TARGETS, 'F'), 'air.ceilingC': '77' };
  expect(ceilingWarning(fahrenheit, 'F')).toContain('below 80.1 °F');
  expect(ceilingWarning(withCeiling('26,7'), 'C')).toBeNull();
});

test('what is no number is left to the daemon', () => {
  expect(ceilingWarning(withCeiling('hot'), 'C')).toBeNull();
  expect(ceilingWarning(withCeiling(''), 'C')).toBeNull();
});
