import { type ForecastPoint, forecastFrom } from '../../../server/domain/forecast/forecast.ts';
import { type History, STEP_MS, STEPS_A_DAY } from '../../../server/domain/forecast/history.ts';
import {
  type Fits,
  hasSkill,
  LEARNING_DAYS,
  type Learned,
  learning,
} from '../../../server/domain/forecast/learn.ts';
import { seededNumbers } from '../../support/seeded.ts';

export const SCORED_MIN = [10, 30, 60, 120] as const;

type Sum = { count: number; model: number; persistence: number; line: number; within: number };
type DaySums = { readonly sums: readonly Sum[]; readonly shown: boolean };

export type HorizonScore = {
  readonly horizonMin: number;
  readonly maeK: number;
  readonly persistenceMaeK: number;
  readonly lineMaeK: number;
  /** share of values within the interval of 80 % */
  readonly coverage: number;
  /** share by which the error of persistence is cut, and where 95 % of it lie when days are drawn again */
  readonly gain: number;
  readonly gain95: readonly [number, number];
};

export type RoomScore = {
  readonly horizons: readonly HorizonScore[];
  readonly forecasts: number;
  /** share of the days on which the forecast was shown, having had skill on those before */
  readonly shownShare: number;
};

/** Called with each forecast as it was made, and where it stands in the history. */
export type Listener = (made: {
  readonly index: number;
  readonly points: readonly ForecastPoint[];
  shown: boolean;
}) => void;

/**
 * Scores forecasts as they would have been made at each ten minutes of the days, each from what was read before it.
 * @param days first day to score, whole days after the start of the history
 */
export function scoreOf(
  history: History,
  { firstDay, seed, each = () => {} }: { firstDay: number; seed: number; each?: Listener },
): RoomScore {
  const days = history.values.length / STEPS_A_DAY;
  const fits: Fits = new Map();
  const scored: DaySums[] = [];
  for (let day = firstDay; day < days; day++) {
    const learned = learnedAtOnce(
      part(history, (day - LEARNING_DAYS) * STEPS_A_DAY, day * STEPS_A_DAY),
      fits,
    );
    if (learned === null) continue;
    const shown = learned.skill !== null && hasSkill(learned.skill);
    const sums = SCORED_MIN.map(() => ({ count: 0, model: 0, persistence: 0, line: 0, within: 0 }));
    for (let index = day * STEPS_A_DAY; index < (day + 1) * STEPS_A_DAY; index++) {
      const recent = part(history, index - STEPS_A_DAY, index + 1);
      const points = forecastFrom(learned, recent, history.startMs + index * STEP_MS);
      if (points.length === 0) continue;
      for (const [n, horizonMin] of SCORED_MIN.entries())
        add(sums[n] as Sum, {
          history,
          index,
          steps: horizonMin / 10,
          point: points[horizonMin / 5 - 1] as ForecastPoint,
        });
      each({ index, points, shown });
    }
    scored.push({ sums, shown });
  }
  return {
    horizons: SCORED_MIN.map((horizonMin, n) =>
      horizonScore(
        horizonMin,
        scored.map(({ sums }) => sums[n] as Sum),
        seed,
      ),
    ),
    forecasts: scored.reduce((sum, { sums }) => sum + (sums[0]?.count ?? 0), 0),
    shownShare: scored.filter(({ shown }) => shown).length / Math.max(1, scored.length),
  };
}

/** Everything there is to learn, without a pause. */
export function learnedAtOnce(history: History, fits?: Fits): Learned | null {
  const parts = learning(history, fits);
  for (let next = parts.next(); ; next = parts.next()) if (next.done) return next.value;
}

/** Slope of the straight line through the seven values of the last hour, K a step, in closed form; null at a gap. */
function slopeAt(values: Float64Array, index: number): number | null {
  const hour = values.subarray(Math.max(0, index - 6), index + 1);
  if (hour.length < 7) return null;
  const slope = hour.reduce((sum, value, n) => sum + (n - 3) * value, 0) / 28;
  return Number.isNaN(slope) ? null : slope;
}

/** The stretch from one index up to and without another, as far as the history goes. */
export function part(history: History, from: number, to: number): History {
  const start = Math.max(0, from);
  return {
    startMs: history.startMs + start * STEP_MS,
    values: history.values.subarray(start, to),
    drivers: history.drivers.map((driver) => ({ ...driver, values: driver.values.subarray(start, to) })),
  };
}

type Scored = { history: History; index: number; steps: number; point: ForecastPoint };

function add(sum: Sum, { history: { values }, index, steps, point }: Scored): void {
  const now = values[index] as number;
  const truth = values[index + steps] ?? Number.NaN;
  const slope = slopeAt(values, index);
  if (Number.isNaN(truth) || slope === null) return;
  sum.count++;
  sum.model += Math.abs(point.value - truth);
  sum.persistence += Math.abs(now - truth);
  sum.line += Math.abs(now + slope * steps - truth);
  if (truth >= point.low80 && truth <= point.high80) sum.within++;
}

const DRAWS = 1000;

function horizonScore(horizonMin: number, days: readonly Sum[], seed: number): HorizonScore {
  const all = total(days);
  const next = seededNumbers(seed);
  const draw = () => days[Math.floor(next() * days.length)] as Sum;
  const gains = Array.from({ length: DRAWS }, () => gainOf(total(days.map(draw)))).sort((a, b) => a - b);
  return {
    horizonMin,
    maeK: all.model / all.count,
    persistenceMaeK: all.persistence / all.count,
    lineMaeK: all.line / all.count,
    coverage: all.within / all.count,
    gain: gainOf(all),
    gain95: [gains[DRAWS * 0.025] as number, gains[DRAWS * 0.975] as number],
  };
}

function gainOf({ model, persistence }: Sum): number {
  return 1 - model / persistence;
}

function total(days: readonly Sum[]): Sum {
  const sum = { count: 0, model: 0, persistence: 0, line: 0, within: 0 };
  for (const day of days)
    for (const key of ['count', 'model', 'persistence', 'line', 'within'] as const) sum[key] += day[key];
  return sum;
}
