import { LEVEL } from './features.ts';
import { HORIZONS, isUsable, movesAhead } from './fit.ts';
import { type History, STEP_MS } from './history.ts';
import { type Learned, tableOf } from './learn.ts';
import { spreadIndex } from './spread.ts';

/** A forecast has a point every five minutes up to two hours. */
const POINT_MS = 300_000;
export const POINTS = 24;

/** A forecast value with the bounds between which it lies in four of five cases, °C. */
export type ForecastPoint = {
  readonly tMs: number;
  readonly value: number;
  readonly low80: number;
  readonly high80: number;
};

/**
 * The next two hours of a quantity, every five minutes.
 * @param learned from the days before the midnight before it
 * @param recent the day up to the newest reading, whose time its last value has
 * @param atMs the time it is made for, ms since epoch; at most 20 min after the newest reading
 * @returns nothing where it cannot be said: no bounds are known yet, or a gap lies before the newest reading
 */
export function forecastFrom(learned: Learned, recent: History, atMs: number): ForecastPoint[] {
  const last = recent.values.length - 1;
  const table = tableOf(recent, last);
  if (learned.spread === null || learned.fit.width !== table.width || !isUsable(table, last)) return [];
  const moves = new Float64Array(HORIZONS.length);
  movesAhead(learned.fit, table, { index: last, into: moves });
  const value = recent.values[last] as number;
  const anchorMs = recent.startMs + last * STEP_MS;
  const part = spreadIndex(anchorMs);
  const { low, high } = learned.spread;
  return Array.from({ length: POINTS }, (_, n) => {
    const tMs = atMs + (n + 1) * POINT_MS;
    const steps = (tMs - anchorMs) / STEP_MS;
    const middle = value + between(moves, steps, 0);
    return {
      tMs,
      value: middle,
      low80: middle + between(low, steps, part),
      high80: middle + between(high, steps, part),
    };
  });
}

/** Further from its mean of three weeks than so many standard deviations nothing is known of how it goes on. PROPOSAL. */
const USUAL_DEVIATIONS = 6;

/**
 * Whether a quantity is so far from where it was in the weeks that were learned from that a forecast would be a guess: a
 * root zone whose mat died.
 * @param value the newest, °C
 * @example isUnusual(learned, 19.9) // true where it was held at 26.5 within 0.2
 */
export function isUnusual({ fit }: Learned, value: number): boolean {
  const off = Math.abs(value - (fit.mean[LEVEL] as number));
  // sensors step by a sixteenth, and what hardly moves is not unusual for half a degree
  return off > LEAST_UNUSUAL_K && off * (fit.perDeviation[LEVEL] as number) > USUAL_DEVIATIONS;
}

const LEAST_UNUSUAL_K = 2;

/** A number of each horizon, on a straight line from nothing at no time at all, from horizon to horizon. */
function between(numbers: Float64Array, steps: number, from: number): number {
  const above = HORIZONS.findIndex((h) => h >= steps);
  const index = above < 0 ? HORIZONS.length - 1 : above;
  const horizon = HORIZONS[index] as number;
  const number = numbers[from + index] as number;
  const before = index === 0 ? 0 : (HORIZONS[index - 1] as number);
  const numberBefore = index === 0 ? 0 : (numbers[from + index - 1] as number);
  const share = Math.min(1, (steps - before) / (horizon - before));
  return numberBefore + (number - numberBefore) * share;
}
