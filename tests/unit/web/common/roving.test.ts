import { expect, test } from 'vitest';
import { movedTo } from '../../../../web/common/roving.ts';

/** Two rows of 3 numbers, one row with a number in its first column only, and again 3. */
const CELLS = [
  ...[1, 2, 3].map((column) => ({ row: 1, column })),
  { row: 2, column: 1 },
  ...[1, 2, 3].map((column) => ({ row: 3, column })),
];

test.each([
  [0, 'ArrowRight', 1],
  [2, 'ArrowRight', 2],
  [0, 'ArrowLeft', 0],
  [1, 'ArrowLeft', 0],
  [0, 'ArrowDown', 3],
  [2, 'ArrowDown', 6],
  [6, 'ArrowUp', 2],
  [3, 'ArrowUp', 0],
  [4, 'ArrowDown', 4],
  [5, 'Home', 0],
  [0, 'End', 6],
])('from number %i the key %s leads to number %i', (from, key, to) => {
  expect(movedTo(CELLS, from, key)).toBe(to);
});

test('any other key, and a focus on no number, lead nowhere', () => {
  expect(movedTo(CELLS, 0, 'a')).toBeNull();
  expect(movedTo(CELLS, -1, 'ArrowDown')).toBeNull();
});
