import type { History } from './history.ts';
import { solveInPlace } from './solve.ts';

/** Steps ahead that are fitted; what lies between is interpolated. The last reaches beyond two hours, as readings may be old. */
export const HORIZONS = [1, 2, 3, 4, 6, 8, 10, 12, 14] as const;
const LONGEST = 14;
/** A moment of every half hour is fitted on: those between add time and no skill. */
const FIT_EVERY = 3;
/** With fewer moments, some twenty hours of them, nothing is fitted. */
const LEAST_ROWS = 40;
/** Weight of the penalty on coefficients, as a share of that of the moments; chosen on days that are not scored. */
const RIDGE = 0.03;
/** Rounds of reweighting towards the least sum of absolute errors. */
const ROUNDS = 3;
/** A moment fitted better than half of the usual error weighs no more. */
const LEAST_RELATIVE_ERROR = 0.5;

/** Coefficients of a place and quantity: of the movement to each horizon, by features made comparable. */
export type Fit = {
  readonly width: number;
  readonly mean: Float64Array;
  /** 0 for a feature that does not vary, which is not used */
  readonly perDeviation: Float64Array;
  /** feature by feature, and last the constant, one a horizon, K */
  readonly coefficients: Float64Array;
};

/** Features of each moment of a history, row by row. */
export type Table = { readonly width: number; readonly rows: Float64Array };

type Rows = { readonly table: Table; readonly history: History };

/**
 * Fits the movement of a quantity to each horizon by ridge regression, reweighted towards the least absolute error,
 * on moments whose whole future lies within the span.
 * @param rows features and the values they lead to
 * @param span indexes of the history: from `from` up to and without `to`
 * @returns null with too few moments
 * @source [HOERL70]
 * @source [SCHLOSSMACHER73]
 * @example fitOf({ table: { width: 1, rows: new Float64Array() }, history: { startMs: 0, values: new Float64Array(), drivers: [] } }, { from: 0, to: 0 }) // null
 */
export function fitOf(rows: Rows, span: { readonly from: number; readonly to: number }): Fit | null {
  const indexes = usable(rows, span);
  if (indexes.length < LEAST_ROWS) return null;
  const { mean, perDeviation } = scalesOf(rows.table, indexes);
  const { width } = rows.table;
  const design = new Float64Array(indexes.length * (width + 1));
  for (const [n, index] of indexes.entries())
    writeScaled(rows.table, { mean, perDeviation }, { index, into: design, at: n * (width + 1) });
  const moves = movesOf(rows.history, indexes);
  const weights = new Float64Array(indexes.length).fill(1);
  let coefficients = new Float64Array();
  for (let round = 0; round < ROUNDS; round++) {
    const solved = weighted(design, moves, { weights, size: width + 1 });
    if (solved === null) return null;
    coefficients = solved;
    if (round + 1 < ROUNDS) reweight(weights, { design, moves, coefficients, size: width + 1 });
  }
  return { width, mean, perDeviation, coefficients };
}

/**
 * The movement to each horizon from a moment, K.
 * @param into one number a horizon
 * @example movesAhead(fit, table, { index: 0, into: new Float64Array(9) })
 */
export function movesAhead(
  fit: Fit,
  table: Table,
  { index, into }: { readonly index: number; readonly into: Float64Array },
): void {
  const { width, mean, perDeviation, coefficients } = fit;
  const columns = HORIZONS.length;
  for (let c = 0; c < columns; c++) into[c] = coefficients[width * columns + c] as number;
  for (let k = 0; k < width; k++) {
    const scaled = scaledAt(
      table.rows[index * width + k] as number,
      mean[k] as number,
      perDeviation[k] as number,
    );
    if (scaled === 0) continue;
    for (let c = 0; c < columns; c++)
      into[c] = (into[c] as number) + scaled * (coefficients[k * columns + c] as number);
  }
}

/** What is not known counts as usual. */
function scaledAt(value: number, mean: number, perDeviation: number): number {
  return Number.isNaN(value) ? 0 : (value - mean) * perDeviation;
}

type Scales = { readonly mean: Float64Array; readonly perDeviation: Float64Array };

function writeScaled(
  { width, rows }: Table,
  { mean, perDeviation }: Scales,
  { index, into, at }: { index: number; into: Float64Array; at: number },
): void {
  for (let k = 0; k < width; k++)
    into[at + k] = scaledAt(rows[index * width + k] as number, mean[k] as number, perDeviation[k] as number);
  into[at + width] = 1;
}

/** Moments that are known with the hour before them, and whose future is. */
function usable({ table, history }: Rows, { from, to }: { from: number; to: number }): number[] {
  const { values } = history;
  const indexes: number[] = [];
  for (let index = Math.max(0, from); index + LONGEST < to; index += FIT_EVERY) {
    const isKnown =
      isUsable(table, index) && HORIZONS.every((h) => !Number.isNaN(values[index + h] as number));
    if (isKnown) indexes.push(index);
  }
  return indexes;
}

/** Whether a moment and the ten minutes before it are known: without them nothing can be forecast. */
export function isUsable({ width, rows }: Table, index: number): boolean {
  return !Number.isNaN(rows[index * width] as number);
}

const LEAST_DEVIATION = 1e-6;

function scalesOf({ width, rows }: Table, indexes: readonly number[]): Scales {
  const mean = new Float64Array(width);
  const perDeviation = new Float64Array(width);
  for (let k = 0; k < width; k++) {
    let [count, sum, squares] = [0, 0, 0];
    for (const index of indexes) {
      const value = rows[index * width + k] as number;
      if (Number.isNaN(value)) continue;
      count++;
      sum += value;
      squares += value * value;
    }
    mean[k] = count > 0 ? sum / count : 0;
    const deviation = count > 0 ? Math.sqrt(Math.max(0, squares / count - (sum / count) ** 2)) : 0;
    perDeviation[k] = deviation > LEAST_DEVIATION ? 1 / deviation : 0;
  }
  return { mean, perDeviation };
}

function movesOf({ values }: History, indexes: readonly number[]): Float64Array {
  const columns = HORIZONS.length;
  const moves = new Float64Array(indexes.length * columns);
  for (const [n, index] of indexes.entries())
    for (const [c, h] of HORIZONS.entries())
      moves[n * columns + c] = (values[index + h] as number) - (values[index] as number);
  return moves;
}

/** Coefficients of the least weighted squares with a penalty; null where they are not determined. */
function weighted(
  design: Float64Array,
  moves: Float64Array,
  { weights, size }: { weights: Float64Array; size: number },
): Float64Array<ArrayBuffer> | null {
  const columns = HORIZONS.length;
  const matrix = new Float64Array(size * size);
  const right = new Float64Array(size * columns);
  let total = 0;
  for (const [n, weight] of weights.entries()) {
    total += weight;
    for (let i = 0; i < size; i++) {
      const scaled = weight * (design[n * size + i] as number);
      if (scaled === 0) continue;
      for (let j = 0; j <= i; j++)
        matrix[i * size + j] = (matrix[i * size + j] as number) + scaled * (design[n * size + j] as number);
      for (let c = 0; c < columns; c++)
        right[i * columns + c] =
          (right[i * columns + c] as number) + scaled * (moves[n * columns + c] as number);
    }
  }
  // the constant is not penalised
  for (let i = 0; i + 1 < size; i++) matrix[i * size + i] = (matrix[i * size + i] as number) + RIDGE * total;
  return solveInPlace(matrix, right, { size, columns }) ? right : null;
}

type Fitted = { design: Float64Array; moves: Float64Array; coefficients: Float64Array; size: number };

/** A moment weighs the less the worse it was fitted, against the usual error of each horizon. */
function reweight(weights: Float64Array, fitted: Fitted): void {
  const columns = HORIZONS.length;
  const errors = errorsOf(fitted, weights.length);
  const usual = HORIZONS.map((_, c) => middle(errors.filter((_error, n) => n % columns === c)));
  for (let n = 0; n < weights.length; n++) {
    let sum = 0;
    for (let c = 0; c < columns; c++)
      sum += (errors[n * columns + c] as number) / ((usual[c] as number) + LEAST_DEVIATION);
    weights[n] = 1 / Math.max(sum / columns, LEAST_RELATIVE_ERROR);
  }
}

function errorsOf({ design, moves, coefficients, size }: Fitted, rows: number): Float64Array {
  const columns = HORIZONS.length;
  const errors = new Float64Array(rows * columns);
  for (let n = 0; n < rows; n++)
    for (let c = 0; c < columns; c++) {
      let sum = -(moves[n * columns + c] as number);
      for (let i = 0; i < size; i++)
        sum += (design[n * size + i] as number) * (coefficients[i * columns + c] as number);
      errors[n * columns + c] = Math.abs(sum);
    }
  return errors;
}

function middle(values: Float64Array): number {
  return values.toSorted()[values.length >> 1] ?? 0;
}
