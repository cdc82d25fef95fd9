/**
 * Solves A·X = B for a symmetric positive definite A by Cholesky's decomposition, in place.
 * @param matrix A, row by row, `size` × `size`; overwritten by its factor
 * @param right B, row by row, `size` × `columns`; overwritten by X
 * @source [GOLUB]
 * @returns false where A is not positive definite; X is not known then
 * @example solveInPlace(Float64Array.of(4), Float64Array.of(8), { size: 1, columns: 1 }) // true, X = 2
 */
export function solveInPlace(
  matrix: Float64Array,
  right: Float64Array,
  { size, columns }: { readonly size: number; readonly columns: number },
): boolean {
  if (!factorise(matrix, size)) return false;
  for (let c = 0; c < columns; c++) {
    for (let i = 0; i < size; i++) {
      let sum = right[i * columns + c] as number;
      for (let k = 0; k < i; k++)
        sum -= (matrix[i * size + k] as number) * (right[k * columns + c] as number);
      right[i * columns + c] = sum / (matrix[i * size + i] as number);
    }
    for (let i = size - 1; i >= 0; i--) {
      let sum = right[i * columns + c] as number;
      for (let k = i + 1; k < size; k++)
        sum -= (matrix[k * size + i] as number) * (right[k * columns + c] as number);
      right[i * columns + c] = sum / (matrix[i * size + i] as number);
    }
  }
  return true;
}

/** The lower factor of Cholesky takes the place of the lower half; false where there is none. */
function factorise(matrix: Float64Array, size: number): boolean {
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * size + j] as number;
      for (let k = 0; k < j; k++) sum -= (matrix[i * size + k] as number) * (matrix[j * size + k] as number);
      if (i === j) {
        if (!(sum > 0)) return false;
        matrix[i * size + i] = Math.sqrt(sum);
      } else matrix[i * size + j] = sum / (matrix[j * size + j] as number);
    }
  }
  return true;
}
