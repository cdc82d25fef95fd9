import { expect, test } from 'vitest';
import { LX_PER_UMOL, UMOL_PER_PAR_J, UMOL_PER_SOLAR_J } from '../../shared/climate/light.ts';
import { evaluatePublishedRows } from './published.ts';
import { publishedReport } from './report.ts';

const evaluated = evaluatePublishedRows();

test('check-values.json holds 165 rows with 165 different ids, 60 of them read in a copy of their source', () => {
  expect(evaluated).toHaveLength(165);
  expect(new Set(evaluated.map(({ row }) => row.id)).size).toBe(165);
  expect(evaluated.filter(({ row }) => row.seen_class === 'seen')).toHaveLength(60);
});

test.each(evaluated)('$row.id: $row.quantity is $row.expected $row.unit, within $tolerance', (result) => {
  expect(result.error, result.row.source).toBeLessThanOrEqual(result.tolerance);
});

test('the report counts all 165 rows', () => {
  const counted = publishedReport(evaluated).reduce((sum, line) => sum + line.rows, 0);
  expect(counted).toBe(165);
});

// [TH83] table 3, whole numbers; the same factors are inputs in check-values.json.
test.each([
  ['daylight', 'lux-ppfd-sun-and-sky-daylight', 54],
  ['cool-white fluorescent', 'lux-ppfd-cool-white-fluorescent', 74],
  ['metal halide', 'lux-ppfd-metal-halide', 71],
  ['high-pressure sodium', 'lux-ppfd-high-pressure-sodium', 82],
] as const)('%s gives %s its factor of %d lx per µmol m⁻² s⁻¹', (lamp, id, factor) => {
  expect(LX_PER_UMOL[lamp]).toBe(factor);
  expect(evaluated.find(({ row }) => row.id === id)?.row.inputs['lux_per_umol']).toBe(factor);
});

test.each([
  ['daylight', 'parw-ppfd-sun-and-sky-daylight', 4.57],
  ['cool-white fluorescent', 'parw-ppfd-cool-white-fluorescent', 4.59],
  ['metal halide', 'parw-ppfd-metal-halide', 4.59],
  ['high-pressure sodium', 'parw-ppfd-high-pressure-sodium', 4.98],
] as const)('%s gives %s its factor of %d µmol/J', (lamp, id, factor) => {
  expect(UMOL_PER_PAR_J[lamp]).toBe(factor);
  expect(evaluated.find(({ row }) => row.id === id)?.row.inputs['umol_per_j']).toBe(factor);
});

// 0.45 of the energy is from 400 to 700 nm ([AKITSU22]), 4.57 µmol/J there ([TH83]); 0.005 is rounding to 3 digits.
test('a joule of sunlight holds 2.06 µmol, which is 0.45 × 4.57 within 0.005', () => {
  expect(Math.abs(UMOL_PER_SOLAR_J - 0.45 * 4.57)).toBeLessThanOrEqual(0.005);
});
