import { requireWithin, TEMPERATURE_LIMITS } from './domain.ts';

/**
 * How far a temperature counts above the base from which a crop makes roots, and no further than its upper limit.
 *
 * Integrated over hours it is capped thermal time, K·h. Above the optimum more heat is not more roots: poinsettia
 * cuttings have a base of 21 °C, root fastest at 28 °C and not at all at 32 °C or above ([WILKERSON05]).
 * @param state temperature −150…150 °C; base and upper limit −150…150 °C, the upper limit above the base
 * @returns K: 0 at or below the base, upper limit less base at or above the upper limit
 * @throws RangeError outside those ranges
 * @source [WILKERSON05] thermal time above a base; the cap from its optimum
 * @example cappedExcessK({ temperatureC: 24.5, baseC: 21, upperC: 28 }) // 3.5
 */
export function cappedExcessK(state: {
  readonly temperatureC: number;
  readonly baseC: number;
  readonly upperC: number;
}): number {
  const { temperatureC, baseC, upperC } = state;
  requireWithin(temperatureC, TEMPERATURE_LIMITS);
  requireWithin(baseC, { ...TEMPERATURE_LIMITS, quantity: 'base temperature' });
  requireWithin(upperC, { ...TEMPERATURE_LIMITS, quantity: 'upper temperature' });
  if (upperC <= baseC)
    throw new RangeError(`upper temperature must be above the base, ${baseC} °C, was ${upperC}`);
  return Math.min(Math.max(temperatureC - baseC, 0), upperC - baseC);
}

/**
 * How fast a crop makes roots at a temperature, as K above the base: rising to its optimum, then in a straight line
 * down to nothing at its stop.
 *
 * Poinsettia cuttings root from 21 °C on, fastest at 28 °C, and not at all from 32 °C on ([WILKERSON05]); that the fall
 * between optimum and stop is a straight line is our reading of three points.
 * @param state temperature −150…150 °C; base, optimum and stop −150…150 °C, each above the one before
 * @returns K: 0 at or below the base and at or above the stop, optimum less base at the optimum
 * @throws RangeError outside those ranges
 * @source [WILKERSON05] base, optimum and stop of poinsettia
 * @example rootingExcessK({ temperatureC: 30, baseC: 21, optimumC: 28, stopC: 32 }) // 3.5
 */
export function rootingExcessK(state: {
  readonly temperatureC: number;
  readonly baseC: number;
  readonly optimumC: number;
  readonly stopC: number;
}): number {
  const { temperatureC, baseC, optimumC, stopC } = state;
  requireWithin(stopC, { ...TEMPERATURE_LIMITS, quantity: 'stop temperature' });
  const risenK = cappedExcessK({ temperatureC, baseC, upperC: optimumC });
  if (stopC <= optimumC)
    throw new RangeError(`stop temperature must be above the optimum, ${optimumC} °C, was ${stopC}`);
  const fallen = Math.max(temperatureC - optimumC, 0) / (stopC - optimumC);
  return risenK * Math.max(1 - fallen, 0);
}
