import { type History, STEP_MS, STEPS_A_DAY } from './history.ts';

/** Values before the newest that a forecast looks at. */
const LAGS = [1, 2, 3, 4, 5] as const;
/** Pairs of sine and cosine by which the time of day is known: down to four hours. */
const DAY_WAVES = 6;
/** The same hour yesterday: how far it moved within so many steps. */
const YESTERDAY_STEPS = [6, 12] as const;
/** Over how many steps the movement of what is followed is seen. */
const DRIVER_STEPS = [2, 6] as const;
const DRIVER_WIDTH = 1 + DRIVER_STEPS.length;
const OWN_WIDTH = LAGS.length + 1 + 2 * DAY_WAVES + YESTERDAY_STEPS.length;

/** Place of the level of the quantity among the features. */
export const LEVEL = LAGS.length;

/** How many features a moment of a history has. */
export function widthOf(history: Pick<History, 'drivers'>): number {
  return OWN_WIDTH + DRIVER_WIDTH * history.drivers.length;
}

/**
 * What is known at a moment: the last hour of the quantity, its level, the time of day (UTC, so that clock changes do not
 * move it), the same hour yesterday, and what it follows.
 * @param history the quantity and what it follows
 * @param index place of the moment in the history
 * @param row where the features go: `widthOf(history)` numbers from `at` on; NaN for what is not known
 * @example writeFeatures({ startMs: 0, values: new Float64Array(1), drivers: [] }, 0, { into: new Float64Array(20), at: 0 })
 */
export function writeFeatures(
  history: History,
  index: number,
  { into, at }: { readonly into: Float64Array; readonly at: number },
): void {
  const { values, drivers, startMs } = history;
  const value = at0(values, index);
  let next = at;
  for (const lag of LAGS) into[next++] = value - at0(values, index - lag);
  into[next++] = value;
  const dayShare = ((startMs + index * STEP_MS) / (STEP_MS * STEPS_A_DAY)) % 1;
  for (let wave = 1; wave <= DAY_WAVES; wave++) {
    into[next++] = Math.sin(2 * Math.PI * wave * dayShare);
    into[next++] = Math.cos(2 * Math.PI * wave * dayShare);
  }
  const yesterday = index - STEPS_A_DAY;
  for (const steps of YESTERDAY_STEPS) into[next++] = at0(values, yesterday + steps) - at0(values, yesterday);
  for (const driver of drivers) {
    const now = at0(driver.values, index);
    into[next++] = driver.isTemperature ? now - value : now;
    for (const steps of DRIVER_STEPS) into[next++] = now - at0(driver.values, index - steps);
  }
}

function at0(values: Float64Array, index: number): number {
  return index >= 0 && index < values.length ? (values[index] as number) : Number.NaN;
}
