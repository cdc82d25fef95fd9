import { expect, test } from 'vitest';
import { exposureRows } from '../../../../web/batches/exposure-rows.ts';
import { EXPOSURES } from '../examples.ts';

const light = { coveredHours: 48, days: [4.25, 5.5].map((dliMolM2) => day(dliMolM2)) };
function day(dliMolM2: number) {
  return { date: '', dliMolM2, coveredHours: 24, photoperiodHours: 10 };
}
const textOf = (name: string, unit: 'C' | 'F' = 'C') =>
  exposureRows([EXPOSURES, { ...EXPOSURES, light }], unit)
    .find((row) => row.name === name)
    ?.cells.map((cell) => cell.replaceAll('\u00a0', ' '));

test('each row has a cell for each span, blank where nothing is known', () => {
  expect(textOf('root zone below band')).toEqual(Array(2).fill('5.1 h, 15.5 °C·h'));
  expect(textOf('root zone below band', 'F')).toEqual(Array(2).fill('5.1 h, 27.9 °F·h'));
  // 4.25 + 5.5
  expect(textOf('light sum')).toEqual(['', '9.8 mol/m²']);
});

test('a row of which nothing is known in any span is left out', () => {
  expect(textOf('root zone, mean')).toBeUndefined();
  expect(textOf('air, highest')).toEqual(Array(2).fill('24.1 °C'));
});
