import { describe, expect, test } from 'vitest';
import type { Explanation } from '../../../../shared/wire/http.ts';
import { explainedView } from '../../../../web/place/explained.ts';
import { MINUTE_MS, NOW_MS } from '../examples.ts';

const READER = { unit: 'C', timeZone: 'UTC', nowMs: NOW_MS } as const;
const FAHRENHEIT = { ...READER, unit: 'F' } as const;

const VPD: Explanation = {
  of: 'now.airVpdKpa',
  name: 'Vapour pressure deficit of the air',
  value: 0.2,
  unit: 'kPa',
  formula: 'e_s(T) × (1 − RH/100)',
  source: { key: 'HW83', text: 'Hyland and Wexler (1983), _ASHRAE Transactions_ 89' },
  inputs: [
    {
      name: 'Air temperature',
      value: 21.4375,
      unit: '°C',
      probe: 'sill/air/temperature',
      at: new Date(NOW_MS - 3 * MINUTE_MS).toISOString(),
    },
    { name: 'Relative humidity', value: 92.5, unit: '%RH', at: null, probe: null },
  ],
  coverage: null,
  errorRange: { low: 0.1, high: 0.3, because: 'sensors to ±0.3 K and ±4 %RH' },
  assumptions: ['no leaf probe: the leaf is assumed 1 K warmer than the air'],
};
const DOSE: Explanation = {
  ...VPD,
  of: 'exposures.rootZone.degreeHoursBelow',
  name: 'degree-hours below',
  value: 10,
  unit: '°C·h',
  inputs: [{ name: 'Limit in force', value: 'day 21.1 to 26.7 °C', unit: '', at: null, probe: null }],
  coverage: { coveredHours: 23.5, ofHours: 24 },
  errorRange: null,
};

// By definition of the scales: °F = °C × 9/5 + 32 for a temperature, × 9/5 alone for a difference.
test.each([
  [20, '°C', '20.0 °C', '68.0 °F'],
  [5, 'K', '5.0 K', '9.0 °F'],
  [10, '°C·h', '10.0 °C·h', '18.0 °F·h'],
  [10, 'K·h', '10.0 K·h', '18.0 °F·h'],
  [0.204, 'kPa', '0.20 kPa', '0.20 kPa'],
  [41_000, 'lx', '41\u202f000 lx', '41\u202f000 lx'],
  [1522, '', '1\u202f522', '1\u202f522'],
  [227, 'min', '3 h 47 min', '3 h 47 min'],
  [5, 'h⁻¹', '5.0 h⁻¹', '5.0 h⁻¹'],
  [72.3, '%RH', '72.3 %RH', '72.3 %RH'],
] as const)('%f %s reads %s, and to a reader of °F %s', (value, unit, celsius, fahrenheit) => {
  const read = (reader: typeof READER | typeof FAHRENHEIT) =>
    explainedView({ ...VPD, value, unit }, reader).value.replace('\u00a0', ' ');
  expect([read(READER), read(FAHRENHEIT)]).toEqual([celsius, fahrenheit]);
});

// 21.1 °C = 69.98 °F, 26.7 °C = 80.06 °F, −5 °C = 23 °F; 0.3 K = 0.54 °F, 2 K = 3.6 °F.
test.each([
  ['day 21.1 to 26.7 °C', 'day 70.0 to 80.1 °F'],
  ['ceiling 26.7 °C', 'ceiling 80.1 °F'],
  ['frost at -5 °C', 'frost at 23.0 °F'],
  ['sensors to ±0.3 K and ±4 %RH', 'sensors to ±0.5 °F and ±4 %RH'],
  ['the leaf is assumed 2 K warmer than the air', 'the leaf is assumed 3.6 °F warmer than the air'],
  ['0.1 to 0.5 kPa', '0.1 to 0.5 kPa'],
  ['∫ (low limit − T) dt in °C·h', '∫ (low limit − T) dt in °C·h'],
])('"%s" reads "%s" in °F, and stays as it is in °C', (text, fahrenheit) => {
  const explanation = { ...VPD, assumptions: [text] };
  expect(explainedView(explanation, FAHRENHEIT).assumptions).toEqual([fahrenheit]);
  expect(explainedView(explanation, READER).assumptions).toEqual([text]);
});

describe('the explanation of a deficit', () => {
  const view = explainedView(VPD, READER);

  test('has the value with its unit, the error range of 0.10 to 0.30 as ±50 % of it, and why', () => {
    // by hand: (0.3 − 0.1) / 2 = 0.1, and 0.1 of 0.2 is 50 %
    expect(view.value).toBe('0.20\u00a0kPa');
    expect(view.error).toBe('0.10 to 0.30\u00a0kPa, ±50\u00a0% of it: sensors to ±0.3 K and ±4 %RH');
  });

  test('an input from 3 min ago carries its time and age, a setting none', () => {
    expect(view.rows[0]).toEqual({
      name: 'Air temperature',
      value: '21.438\u00a0°C',
      probe: 'sill/air/temperature',
      when: '14:03, 3 min ago',
    });
    expect(view.rows[1]).toMatchObject({ value: '92.5\u00a0%RH', probe: '', when: '' });
  });

  test('the title of the source stands without its 2 underscores', () => {
    expect(view.source).toEqual({ key: 'HW83', text: 'Hyland and Wexler (1983), ASHRAE Transactions 89' });
  });

  test('in °F the input, the ± of the sensors and the assumption are converted, the deficit is not', () => {
    // 21.4375 × 9/5 + 32 = 70.5875; 0.3 K = 0.54 °F; 1 K = 1.8 °F
    const read = explainedView(VPD, FAHRENHEIT);
    expect(read.rows[0]?.value).toBe('70.588\u00a0°F');
    expect(read.error).toContain('0.10 to 0.30\u00a0kPa, ±50\u00a0% of it: sensors to ±0.5 °F');
    expect(read.assumptions[0]).toContain('1.8 °F warmer');
    expect(read.value).toBe('0.20\u00a0kPa');
  });
});

test('degree-hours of the root zone say their layer, 23.5 of 24.0 h, and their limits; in °F 10 °C·h are 18', () => {
  const view = explainedView(DOSE, READER);
  expect(view).toMatchObject({ group: 'root zone', error: null });
  expect(view.coverage).toBe('23.5 of 24.0\u00a0h asked about are on record');
  expect(view.rows[0]?.value).toBe('day 21.1 to 26.7 °C');
  expect(explainedView(DOSE, FAHRENHEIT).rows[0]?.value).toBe('day 70.0 to 80.1 °F');
  expect(explainedView(DOSE, FAHRENHEIT).value).toBe('18.0\u00a0°F·h');
});

test('numbers of the mist, vents, wet hours and thermal time say so, and an interval of 20 min made from is shown as such', () => {
  const interval = { name: 'Pattern', value: 20, unit: 'min', at: null, probe: null };
  const groupOf = (of: string) => explainedView({ ...DOSE, of, inputs: [interval] }, READER).group;
  expect(groupOf('mist.film.cooledMin')).toBe('mist');
  expect(groupOf('vents.vents.0.lowestPct')).toBe('vents');
  expect(groupOf('exposures.wetHours.1.hours')).toBe('wet hours');
  expect(groupOf('thermalTime.degreeHours')).toBe('root zone');
  expect(explainedView({ ...DOSE, inputs: [interval] }, READER).rows[0]?.value).toBe('20 min');
});

test('a number without a value is not known, and no part of nothing is shown', () => {
  const nothing = { ...VPD, value: null };
  expect(explainedView(nothing, READER).value).toBe('not known');
  expect(explainedView(nothing, READER).error).not.toContain('%\u00a0of it');
});
