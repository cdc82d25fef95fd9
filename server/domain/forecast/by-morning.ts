import { STEP_MS, STEPS_A_DAY } from './history.ts';
import { hasSkill } from './learn.ts';
import { solveInPlace } from './solve.ts';
import { quantile } from './spread.ts';

/** Nights that are learned from, and how many there must be. */
const NIGHTS = 21;
const LEAST_NIGHTS = 3;
/** A moment of every half hour of a night counts; later than this before the morning there is nothing to be forecast. */
const EVERY_STEPS = 3;
const LAST_STEPS = 3;
/** Weight of the penalty on coefficients, as a share of that of the moments. */
const RIDGE = 0.03;
const STEPS_AN_HOUR = 6;
const SLOW_STEPS = 18;
const WIDTH = 7;

/** A night as instants, ms since epoch. */
type Night = { readonly fromMs: number; readonly toMs: number };

/** The root zone and what is around it, one value a step of ten minutes, °C; NaN where it is not covered. */
export type NightHistory = {
  readonly startMs: number;
  readonly root: Float64Array;
  readonly air: Float64Array | null;
  readonly outside: Float64Array | null;
};

/** What is known of how far the root zone of a place falls until the morning. */
export type ByMorning = {
  readonly coefficients: Float64Array;
  /** where 10 and 90 % of the errors lay, K at an hour before the morning; they grow with the root of the hours */
  readonly low: number;
  readonly high: number;
  /** mean absolute error of the lowest by morning, of "as now", and of the line through the last hour, K */
  readonly skill: {
    readonly maeK: number;
    readonly persistenceMaeK: number;
    readonly lineMaeK: number;
    readonly days: number;
  };
};

/** The lowest value until the morning, with the bounds between which it lies in four of five nights, °C. */
type LowestByMorning = { readonly value: number; readonly low80: number; readonly high80: number };

type Row = {
  readonly night: number;
  readonly features: Float64Array;
  readonly hoursLeft: number;
  readonly change: number;
};

/**
 * Learns how far the root zone falls until the morning from the nights before: ridge regression on how much warmer than the
 * air it is, how fast it falls, and the hours left; each night is scored by a fit that had not seen it.
 * @param history at least as long as the nights that are to be learned from
 * @param tonight those before it began and ended whole days earlier
 * @returns null with fewer than three nights
 * @source [HOERL70]
 * @example learnByMorning({ startMs: 0, root: new Float64Array(1), air: null, outside: null }, { fromMs: 0, toMs: 1 }) // null
 */
export function learnByMorning(history: NightHistory, tonight: Night): ByMorning | null {
  const rows = Array.from({ length: NIGHTS }, (_, n) => rowsOf(history, tonight, n + 1)).flat();
  const nights = [...new Set(rows.map(({ night }) => night))];
  const coefficients = nights.length < LEAST_NIGHTS ? null : fitted(rows);
  if (coefficients === null) return null;
  const errors: number[] = [];
  const sums = { model: 0, persistence: 0, line: 0 };
  for (const night of nights) {
    const without = fitted(rows.filter((row) => row.night !== night));
    if (without === null) return null;
    for (const row of rows.filter((one) => one.night === night)) {
      const error = row.change - changeBy(without, row.features);
      errors.push(error / Math.sqrt(row.hoursLeft));
      sums.model += Math.abs(error);
      sums.persistence += Math.abs(row.change);
      sums.line += Math.abs(row.change - Math.min(0, slopeIn(row.features) * row.hoursLeft));
    }
  }
  const sorted = Float64Array.from(errors).sort();
  const mean = (sum: number) => sum / rows.length;
  return {
    coefficients,
    low: Math.min(0, quantile(sorted, 0.1)),
    high: Math.max(0, quantile(sorted, 0.9)),
    skill: {
      maeK: mean(sums.model),
      persistenceMaeK: mean(sums.persistence),
      lineMaeK: mean(sums.line),
      days: nights.length,
    },
  };
}

/**
 * The lowest the root zone comes to until the morning.
 * @param recent the last three hours at least, its last value at the moment
 * @param morningMs when the night ends, ms since epoch
 * @returns null where it cannot be said: a gap, no skill, or less than half an hour left
 * @example lowestByMorning(learned, recent, morningMs)?.value // 19.8
 */
export function lowestByMorning(
  learned: ByMorning,
  recent: NightHistory,
  morningMs: number,
): LowestByMorning | null {
  const last = recent.root.length - 1;
  const hoursLeft = (morningMs - (recent.startMs + last * STEP_MS)) / (STEP_MS * STEPS_AN_HOUR);
  const features = featuresAt(recent, last, hoursLeft);
  if (features === null || hoursLeft < LAST_STEPS / STEPS_AN_HOUR || !hasSkill(learned.skill)) return null;
  const now = recent.root[last] as number;
  const change = changeBy(learned.coefficients, features);
  const scale = Math.sqrt(hoursLeft);
  return {
    value: now + change,
    low80: now + change + learned.low * scale,
    high80: Math.min(now, now + change + learned.high * scale),
  };
}

function rowsOf(history: NightHistory, tonight: Night, night: number): Row[] {
  const { startMs, root } = history;
  const indexOf = (ms: number) => Math.round((ms - startMs) / STEP_MS) - night * STEPS_A_DAY;
  const [from, to] = [indexOf(tonight.fromMs), indexOf(tonight.toMs)];
  if (from < SLOW_STEPS || to >= root.length) return [];
  const rows: Row[] = [];
  for (let index = from; index <= to - LAST_STEPS; index += EVERY_STEPS) {
    const hoursLeft = (to - index) / STEPS_AN_HOUR;
    const features = featuresAt(history, index, hoursLeft);
    const change = Math.min(...root.subarray(index, to + 1)) - (root[index] as number);
    if (features && !Number.isNaN(change)) rows.push({ night, features, hoursLeft, change });
  }
  return rows;
}

function featuresAt(
  { root, air, outside }: NightHistory,
  index: number,
  hoursLeft: number,
): Float64Array | null {
  const now = root[index] as number;
  const over = air === null ? 0 : now - (air[index] as number);
  const around = outside === null ? 0 : now - (outside[index] as number);
  const fast = now - (root[index - STEPS_AN_HOUR] ?? Number.NaN);
  const slow = (now - (root[index - SLOW_STEPS] ?? Number.NaN)) / (SLOW_STEPS / STEPS_AN_HOUR);
  const features = Float64Array.of(1, fast, slow, over, around / 5, hoursLeft / 6, (hoursLeft * slow) / 6);
  return features.some(Number.isNaN) ? null : features;
}

/** How fast it moved in the last hour, K an hour. */
function slopeIn(features: Float64Array): number {
  return features[1] as number;
}

/** It does not rise until the morning: the lowest is no higher than now. */
function changeBy(coefficients: Float64Array, features: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < WIDTH; i++) sum += (coefficients[i] as number) * (features[i] as number);
  return Math.min(0, sum);
}

function fitted(rows: readonly Row[]): Float64Array | null {
  const matrix = new Float64Array(WIDTH * WIDTH);
  const right = new Float64Array(WIDTH);
  for (const { features, change } of rows)
    for (let i = 0; i < WIDTH; i++) {
      right[i] = (right[i] as number) + (features[i] as number) * change;
      for (let j = 0; j <= i; j++)
        matrix[i * WIDTH + j] =
          (matrix[i * WIDTH + j] as number) + (features[i] as number) * (features[j] as number);
    }
  for (let i = 0; i < WIDTH; i++)
    matrix[i * WIDTH + i] =
      (matrix[i * WIDTH + i] as number) + RIDGE * Math.max(1, rows.length) * (i === 0 ? 1e-3 : 1);
  return solveInPlace(matrix, right, { size: WIDTH, columns: 1 }) ? right : null;
}
