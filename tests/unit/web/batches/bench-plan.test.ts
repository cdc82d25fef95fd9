import { expect, test } from 'vitest';
import { benchPlan, rowName } from '../../../../web/batches/bench-plan/bench-plan.ts';

/** First and last row and column that a position takes up, counted from 0; null where it is not drawn. */
function areaOf(position: string) {
  const plan = benchPlan([{ position }]);
  if (plan === null) return null;
  const taken = plan.cells.flatMap((cells, row) =>
    cells.flatMap((here, column) => (here.length > 0 ? [{ row, column }] : [])),
  );
  const ends = (of: readonly number[]) => [Math.min(...of), Math.max(...of)];
  const area = { rows: ends(taken.map(({ row }) => row)), columns: ends(taken.map(({ column }) => column)) };
  const [top = 0, bottom = 0] = area.rows;
  const [left = 0, right = 0] = area.columns;
  expect(taken).toHaveLength((bottom - top + 1) * (right - left + 1));
  return area;
}

test.each([
  ['B3', [1, 1], [2, 2]],
  ['b 3', [1, 1], [2, 2]],
  ['B3–C5', [1, 2], [2, 4]],
  ['C5 - B3', [1, 2], [2, 4]],
  ['A1 to A4', [0, 0], [0, 3]],
  ['row 2, column 3', [1, 1], [2, 2]],
  ['Row B col 3', [1, 1], [2, 2]],
  ['Z40', [25, 25], [39, 39]],
] as const)('%s is rows %j, columns %j, counted from 0', (position, rows, columns) => {
  expect(areaOf(position)).toEqual({ rows, columns });
});

test.each(['left, by the fan', 'B', '3', 'B0', 'B41', 'row 27, column 1', 'B3–', 'A1–B2–C3', ''])(
  '"%s" names no row and column',
  (position) => {
    expect(areaOf(position)).toBeNull();
  },
);

test('a bench of two rows and three columns: a batch over four cells, two in one, one in words alone', () => {
  const batches = [
    { id: 'a', position: 'A1–B2' },
    { id: 'b', position: 'B2' },
    { id: 'c', position: 'A3' },
    { id: 'd', position: 'by the fan' },
    { id: 'e', position: null },
  ];
  const names = benchPlan(batches)?.cells.map((row) => row.map((here) => here.map(({ id }) => id).join('')));
  expect(names).toEqual([
    ['a', 'a', 'c'],
    ['a', 'ab', ''],
  ]);
  expect(benchPlan(batches.slice(3))).toBeNull();
  expect([0, 25].map(rowName)).toEqual(['A', 'Z']);
});
