import fc from 'fast-check';
import { expect, test } from 'vitest';
import { solveInPlace } from '../../../../../server/domain/forecast/solve.ts';

test('4x + 2y = 10, 2x + 3y = 11 gives x = 1, y = 3', () => {
  const right = Float64Array.of(10, 11);
  expect(solveInPlace(Float64Array.of(4, 2, 2, 3), right, { size: 2, columns: 1 })).toBe(true);
  expect(right[0]).toBeCloseTo(1, 12);
  expect(right[1]).toBeCloseTo(3, 12);
});

test('a matrix that is not positive definite is refused', () => {
  expect(solveInPlace(Float64Array.of(1, 2, 2, 1), Float64Array.of(1, 1), { size: 2, columns: 1 })).toBe(
    false,
  );
});

test('put back into its equations, a solution of 5 unknowns and 2 columns gives the right sides', () => {
  const numbers = (n: number) =>
    fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: n, maxLength: n });
  fc.assert(
    fc.property(numbers(25), numbers(10), (factor, right) => {
      const at = (i: number, j: number) => factor[i * 5 + j] as number;
      // F·Fᵀ + I is symmetric and positive definite
      const matrix = Float64Array.from({ length: 25 }, (_, n) => {
        const [i, j] = [Math.floor(n / 5), n % 5];
        const sum = [0, 1, 2, 3, 4].reduce((total, k) => total + at(i, k) * at(j, k), 0);
        return sum + (i === j ? 1 : 0);
      });
      const solution = Float64Array.from(right);
      expect(solveInPlace(Float64Array.from(matrix), solution, { size: 5, columns: 2 })).toBe(true);
      for (let i = 0; i < 5; i++)
        for (let c = 0; c < 2; c++) {
          const back = [0, 1, 2, 3, 4].reduce(
            (sum, k) => sum + (matrix[i * 5 + k] as number) * (solution[k * 2 + c] as number),
            0,
          );
          expect(back).toBeCloseTo(right[i * 2 + c] as number, 9);
        }
    }),
  );
});
