import type { Batch } from '../../../shared/wire/cuttings/batches.ts';

/** Furthest row and column that are drawn. */
const MAX_ROWS = 26;
const MAX_COLUMNS = 40;

/** Rows and columns that a batch takes up, counted from 0, ends included. */
type Area = {
  readonly rows: readonly [number, number];
  readonly columns: readonly [number, number];
};

const CELL = /^([a-z])\s?(\d{1,2})$/i;
const SPELT = /^row\s*(\d{1,2}|[a-z])\b[\s,;/]*col(?:umn)?\s*(\d{1,2})$/i;

type Cell = { readonly row: number; readonly column: number };

function cellOf(text: string): Cell | null {
  const [, row, column] = CELL.exec(text) ?? SPELT.exec(text) ?? [];
  if (row === undefined || column === undefined) return null;
  const cell = {
    row: /\d/.test(row) ? Number(row) - 1 : row.toUpperCase().charCodeAt(0) - 'A'.charCodeAt(0),
    column: Number(column) - 1,
  };
  const isDrawn = cell.row >= 0 && cell.row < MAX_ROWS && cell.column >= 0 && cell.column < MAX_COLUMNS;
  return isDrawn ? cell : null;
}

/**
 * Where on a bench a position lies.
 * @param position as somebody wrote it: `B3`, `B3–C5`, `row 2, column 3`
 * @returns null where it names no row and column
 * @example areaOf('B3–C5') // rows 1 to 2, columns 2 to 4
 */
function areaOf(position: string): Area | null {
  const [start = '', end = start, ...rest] = position.split(/[-–]|\bto\b/).map((part) => part.trim());
  const [from, to] = [cellOf(start), cellOf(end)];
  if (from === null || to === null || rest.length > 0) return null;
  const ordered = (a: number, b: number) => [Math.min(a, b), Math.max(a, b)] as const;
  return { rows: ordered(from.row, to.row), columns: ordered(from.column, to.column) };
}

type Placed = Pick<Batch, 'position'>;
type BenchPlan<T> = {
  /** by row, then column; those that stand there */
  readonly cells: readonly (readonly (readonly T[])[])[];
};

/**
 * The batches of a place by row and column.
 * @returns null where no position names a row and a column
 */
export function benchPlan<T extends Placed>(batches: readonly T[]): BenchPlan<T> | null {
  const placed = batches.flatMap((batch) => {
    const area = batch.position === null ? null : areaOf(batch.position);
    return area ? [{ batch, area }] : [];
  });
  if (placed.length === 0) return null;
  const rows = 1 + Math.max(...placed.map(({ area }) => area.rows[1]));
  const columns = 1 + Math.max(...placed.map(({ area }) => area.columns[1]));
  const isIn = (n: number, [from, to]: readonly [number, number]) => from <= n && n <= to;
  const cells = Array.from({ length: rows }, (_, row) =>
    Array.from({ length: columns }, (_, column) =>
      placed
        .filter(({ area }) => isIn(row, area.rows) && isIn(column, area.columns))
        .map(({ batch }) => batch),
    ),
  );
  return { cells };
}

/** The letter of a row, counted from 0. */
export function rowName(row: number): string {
  return String.fromCharCode('A'.charCodeAt(0) + row);
}
