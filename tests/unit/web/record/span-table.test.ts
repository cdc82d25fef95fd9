import { expect, test } from 'vitest';
import { countRows } from '../../../../web/record/span-table.ts';
import { EXPOSURES } from '../examples.ts';

const row = (name: string, unit: 'C' | 'F' = 'C') =>
  countRows(EXPOSURES, unit).find((one) => one.name === name)?.cells;

test('the table has 11 rows of 3, and every cell with a number can be asked about by its path', () => {
  const rows = countRows(EXPOSURES, 'C');
  expect(rows.map(({ cells }) => cells.length)).toEqual(Array(11).fill(3));
  expect(row('degree-hours below')?.map((cell) => cell?.path)).toEqual([
    'air.degreeHoursBelow',
    'vpd.kpaHoursBelow',
    'rootZone.degreeHoursBelow',
  ]);
});

test('15.5 °C·h below are shown with their direction, and as 27.9 °F·h; 0 above without one', () => {
  expect(row('degree-hours below')?.[2]).toMatchObject({ text: '15.5\u00a0°C·h', tone: 'below' });
  // 15.5 × 9/5 = 27.9
  expect(row('degree-hours below', 'F')?.[2]?.text).toBe('27.9\u00a0°F·h');
  expect(row('degree-hours above')?.[2]).toMatchObject({ text: '0.0\u00a0°C·h', tone: null });
});

test('only the air has a ceiling, and a mean that is not known is a blank nobody can ask about', () => {
  expect(row('hours over ceiling')?.map((cell) => cell?.text ?? null)).toEqual(['0.5\u00a0h', null, null]);
  expect(row('mean')?.[0]).toEqual({ text: '', path: null, tone: null });
  expect(row('mean')?.[1]).toMatchObject({ text: '0.15\u00a0kPa', path: 'vpd.meanKpa' });
});

test('what was not measured is blank, never 0.0 h', () => {
  const none = { coveredHours: 0, hoursBelow: 0, hoursWithin: 0, hoursAbove: 0 };
  const rootZone = {
    ...{ ...none, degreeHoursBelow: 0, degreeHoursAbove: 0 },
    ...{ minC: null, maxC: null, meanC: null },
  };
  const cells = countRows({ ...EXPOSURES, rootZone }, 'C').map((one) => one.cells[2]);
  expect(cells.filter((cell) => cell !== null && cell?.text !== '')).toEqual([]);
});
