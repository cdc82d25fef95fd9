import { expect, test } from 'vitest';
import { LX_PER_UMOL } from '../../shared/climate/light.ts';
import { evaluatePublishedRows } from './published.ts';
import { publishedReport } from './report.ts';

const evaluated = evaluatePublishedRows();

test('check-values.json holds 114 published rows with 114 different ids, 38 of them read in a copy of their source', () => {
  expect(evaluated).toHaveLength(114);
  expect(new Set(evaluated.map(({ row }) => row.id)).size).toBe(114);
  expect(evaluated.filter(({ row }) => row.seen_class === 'seen')).toHaveLength(38);
});

test.each(evaluated)('$row.id: $row.quantity is $row.expected $row.unit, within $tolerance', (result) => {
  expect(result.error, result.row.source).toBeLessThanOrEqual(result.tolerance);
});

test('the report speaks for all 114 rows', () => {
  const counted = publishedReport(evaluated).reduce((sum, line) => sum + line.rows, 0);
  expect(counted).toBe(114);
});

// [TH83] table 3, whole numbers; the same factors stand as inputs in check-values.json.
test.each([
  ['daylight', 'lux-ppfd-sun-and-sky-daylight', 54],
  ['cool-white fluorescent', 'lux-ppfd-cool-white-fluorescent', 74],
  ['metal halide', 'lux-ppfd-metal-halide', 71],
  ['high-pressure sodium', 'lux-ppfd-high-pressure-sodium', 82],
] as const)('%s gives %s its factor of %d lx per µmol m⁻² s⁻¹', (lamp, id, factor) => {
  expect(LX_PER_UMOL[lamp]).toBe(factor);
  expect(evaluated.find(({ row }) => row.id === id)?.row.inputs['lux_per_umol']).toBe(factor);
});
