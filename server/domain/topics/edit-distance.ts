/** Longest text that is compared, characters: what is longer resembles nothing of the contract. */
const MAX_CHARACTERS = 80;

/**
 * How many characters must be added, removed, changed or swapped with their neighbour to make one text of another: the
 * Damerau–Levenshtein distance in its restricted form.
 * @param one first text
 * @param other second text
 * @returns whole number; Infinity for texts of more than 80 characters
 */
export function editDistance(one: string, other: string): number {
  if (one.length > MAX_CHARACTERS || other.length > MAX_CHARACTERS) return Number.POSITIVE_INFINITY;
  const rows: number[][] = [Array.from({ length: other.length + 1 }, (_, column) => column)];
  for (let row = 1; row <= one.length; row++) rows.push(rowOf({ row, rows, one, other }));
  return rows[one.length]?.[other.length] ?? 0;
}

type Step = {
  readonly row: number;
  readonly rows: readonly (readonly number[])[];
  readonly one: string;
  readonly other: string;
};

function rowOf({ row, rows, one, other }: Step): number[] {
  const above = rows[row - 1] ?? [];
  const made = [row];
  for (let column = 1; column <= other.length; column++) {
    const differs = one[row - 1] === other[column - 1] ? 0 : 1;
    const swapped = one[row - 1] === other[column - 2] && one[row - 2] === other[column - 1];
    const methods = [at(above, column) + 1, at(made, column - 1) + 1, at(above, column - 1) + differs];
    if (row > 1 && column > 1 && swapped) methods.push(at(rows[row - 2] ?? [], column - 2) + 1);
    made.push(Math.min(...methods));
  }
  return made;
}

function at(row: readonly number[], column: number): number {
  return row[column] ?? Number.POSITIVE_INFINITY;
}
