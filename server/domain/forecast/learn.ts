import { widthOf, writeFeatures } from './features.ts';
import { type Fit, fitOf, HORIZONS, isUsable, movesAhead, type Table } from './fit.ts';
import { type History, STEP_MS, STEPS_A_DAY } from './history.ts';
import { type Errors, noErrors, type Spread, spreadOf } from './spread.ts';

/** Days a fit rests on, and days on which it is scored. */
const FIT_DAYS = 21;
const SCORED_DAYS = 14;
/** Days of a record that are looked at: the first fit that is scored looks at yesterday too. */
export const LEARNING_DAYS = FIT_DAYS + SCORED_DAYS + 1;
/** The horizon by which skill is judged, min. */
export const SKILL_HORIZON_MIN = 60;
const SKILL_STEPS = SKILL_HORIZON_MIN / 10;
/** Half a day of forecasts must have been scored. */
const LEAST_SCORED = STEPS_A_DAY / 2;
/** Less than this share better than persistence or a straight line is no skill, but chance. Proposal of the project. */
const LEAST_GAIN = 0.05;

/** How the forecasts of the last days did, made as they would have been made then. */
type Skill = {
  /** mean absolute error at 60 min, of the forecast, of "as now", and of the line through the last hour, K */
  readonly maeK: number;
  readonly persistenceMaeK: number;
  readonly lineMaeK: number;
  /** days with forecasts that were scored, 1…14 */
  readonly days: number;
};

/** What is known of a quantity of a place from its record up to a midnight (UTC). */
export type Learned = {
  readonly fit: Fit;
  /** null until a forecast was scored */
  readonly skill: Skill | null;
  readonly spread: Spread | null;
};

/** Fits by the midnight they rest on, ms since epoch, so that each is made once. */
export type Fits = Map<number, Fit | null>;

/**
 * Learns from the days before a midnight: one fit on the newest 21 days, and how the fits of the 14 midnights before it did
 * on the day after each. Pauses after each fit, some 3 ms.
 * @param history ends at that midnight, exclusive; `LEARNING_DAYS` long, or shorter where the record is
 * @param fits those made before of the same history; new ones are added
 * @returns null with less than a day of record
 */
export function* learning(history: History, fits: Fits = new Map()): Generator<void, Learned | null> {
  const table = tableOf(history);
  yield;
  const end = history.values.length;
  const errors = noErrors();
  const sums = { model: 0, persistence: 0, line: 0, count: 0, days: new Set<number>() };
  for (let day = SCORED_DAYS; day > 0; day--) {
    const midnight = end - day * STEPS_A_DAY;
    if (midnight <= 0) continue;
    const fit = fitAt(midnight, { history, table, fits });
    yield;
    if (fit) scoreDay({ history, table, fit, from: midnight }, errors, sums);
    yield;
  }
  const fit = fitAt(end, { history, table, fits });
  yield;
  if (fit === null) return null;
  if (sums.count < LEAST_SCORED) return { fit, skill: null, spread: null };
  const mean = (sum: number) => sum / sums.count;
  const skill = {
    maeK: mean(sums.model),
    persistenceMaeK: mean(sums.persistence),
    lineMaeK: mean(sums.line),
    days: sums.days.size,
  };
  return { fit, skill, spread: spreadOf(errors) };
}

/** Whether a forecast is worth showing: it did better than "as now" and than a straight line. */
export function hasSkill({ maeK, persistenceMaeK, lineMaeK }: Skill): boolean {
  return maeK < (1 - LEAST_GAIN) * Math.min(persistenceMaeK, lineMaeK);
}

/** Features of each moment of a history. */
export function tableOf(history: History, from = 0): Table {
  const width = widthOf(history);
  const rows = new Float64Array(width * history.values.length).fill(Number.NaN);
  for (let index = from; index < history.values.length; index++)
    writeFeatures(history, index, { into: rows, at: index * width });
  return { width, rows };
}

function fitAt(midnight: number, of: { history: History; table: Table; fits: Fits }): Fit | null {
  const { history, table, fits } = of;
  const atMs = history.startMs + midnight * STEP_MS;
  const known = fits.get(atMs);
  if (known !== undefined) return known;
  const fit = fitOf({ table, history }, { from: midnight - FIT_DAYS * STEPS_A_DAY, to: midnight });
  fits.set(atMs, fit);
  return fit;
}

type Day = { history: History; table: Table; fit: Fit; from: number };
type Sums = { model: number; persistence: number; line: number; count: number; days: Set<number> };

function scoreDay({ history, table, fit, from }: Day, errors: Errors, sums: Sums): void {
  const { values } = history;
  const moves = new Float64Array(HORIZONS.length);
  for (let index = from; index < from + STEPS_A_DAY && index < values.length; index++) {
    if (!isUsable(table, index)) continue;
    movesAhead(fit, table, { index, into: moves });
    for (const [c, steps] of HORIZONS.entries()) {
      const truth = (values[index + steps] ?? Number.NaN) - (values[index] as number);
      if (Number.isNaN(truth)) continue;
      const error = truth - (moves[c] as number);
      errors.add(c, { atMs: history.startMs + index * STEP_MS, error });
      const slope = steps === SKILL_STEPS ? slopeAt(values, index) : null;
      if (slope === null) continue;
      sums.model += Math.abs(error);
      sums.persistence += Math.abs(truth);
      sums.line += Math.abs(truth - slope * steps);
      sums.count++;
      sums.days.add(from);
    }
  }
}

const LINE_POINTS = 7;

/**
 * Slope of the straight line through the last hour, K a step.
 * @returns by least squares; null unless at least two of its seven values are known
 */
function slopeAt(values: Float64Array, index: number): number | null {
  let [count, t, v, tt, tv] = [0, 0, 0, 0, 0];
  for (let lag = 0; lag < LINE_POINTS; lag++) {
    const value = values[index - lag] ?? Number.NaN;
    if (Number.isNaN(value)) continue;
    count++;
    t -= lag;
    v += value;
    tt += lag * lag;
    tv -= lag * value;
  }
  const spread = count * tt - t * t;
  return count < 2 || spread === 0 ? null : (count * tv - t * v) / spread;
}
