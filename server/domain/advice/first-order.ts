import { solveInPlace } from '../forecast/solve.ts';

/** Air of a place, what is outside and the light, one value a step; NaN where it is not covered. */
export type Course = {
  readonly stepMin: number;
  readonly air: Float64Array;
  readonly outside: Float64Array;
  /** µmol m⁻² s⁻¹ */
  readonly light: Float64Array;
};

/** A place as a first-order body: how fast it follows the outside, gains from light, and a constant. */
export type Body = {
  /** share of the way to the outside, an hour */
  readonly lossPerH: number;
  /** K an hour for each µmol m⁻² s⁻¹ */
  readonly gainPerH: number;
  /** K an hour of whatever else heats it */
  readonly heatPerH: number;
};

const LEAST_MOVES = 200;

/**
 * Fits a place as a first-order body by least squares over its moves from step to step.
 * @returns null with fewer than 200 moves, or where it would not follow the outside or not gain from light
 * @example bodyOf({ stepMin: 10, air: new Float64Array(), outside: new Float64Array(), light: new Float64Array() }) // null
 */
export function bodyOf({ stepMin, air, outside, light }: Course): Body | null {
  const matrix = new Float64Array(9);
  const right = new Float64Array(3);
  let count = 0;
  const hours = stepMin / 60;
  // over half an hour: the steps of a sensor are as large as a move of ten minutes
  const stride = Math.max(1, Math.round(30 / stepMin));
  for (let n = 0; n + stride < air.length; n++) {
    const move = ((air[n + stride] as number) - (air[n] as number)) / (hours * stride);
    const row = [
      meanFrom(outside, n, stride) - meanFrom(air, n, stride),
      meanFrom(light, n, stride) / 100,
      1,
    ];
    if (Number.isNaN(move) || row.some(Number.isNaN)) continue;
    count++;
    for (let i = 0; i < 3; i++) {
      right[i] = (right[i] as number) + (row[i] as number) * move;
      for (let j = 0; j < 3; j++)
        matrix[i * 3 + j] = (matrix[i * 3 + j] as number) + (row[i] as number) * (row[j] as number);
    }
  }
  for (let i = 0; i < 3; i++) matrix[i * 4] = (matrix[i * 4] as number) + 1e-6 * Math.max(1, count);
  if (count < LEAST_MOVES || !solveInPlace(matrix, right, { size: 3, columns: 1 })) return null;
  const [lossPerH, gain, heatPerH] = right as unknown as [number, number, number];
  return lossPerH > 0.02 && gain > 0 ? { lossPerH, gainPerH: gain / 100, heatPerH } : null;
}

function meanFrom(values: Float64Array, from: number, count: number): number {
  let sum = 0;
  for (let n = from; n <= from + count; n++) sum += values[n] as number;
  return sum / (count + 1);
}

/** What is done otherwise: light let through from some step on, or a cover open so that it follows the outside faster. */
export type Change = {
  readonly fromStep: number;
  readonly toStep: number;
  /** share of the light let through, 0…1 */
  readonly transmission?: number;
  /** how many times faster it follows the outside */
  readonly lossTimes?: number;
};

/**
 * How much the air of a day would have been otherwise: the difference between the body with the change and without it,
 * laid on what was read, so that what the body does not know stays.
 * @returns the air as it would have been, °C; NaN from a gap on
 */
export function changed(body: Body, { stepMin, air, outside, light }: Course, change: Change): Float64Array {
  const hours = stepMin / 60;
  const out = Float64Array.from(air);
  let off = 0;
  for (let n = 0; n + 1 < air.length; n++) {
    const isOn = n >= change.fromStep && n < change.toStep;
    const loss = body.lossPerH * (isOn ? (change.lossTimes ?? 1) : 1);
    const less = isOn ? (light[n] as number) * (1 - (change.transmission ?? 1)) * body.gainPerH : 0;
    const faster = (loss - body.lossPerH) * ((outside[n] as number) - (air[n] as number));
    off += (faster - less - loss * off) * hours;
    out[n + 1] = (air[n + 1] as number) + off;
  }
  return out;
}

/**
 * How a body does on a day that it did not see, running free from the first value: mean absolute error, K, and of the
 * day before at the same time.
 * @returns null where the day, or the day before, is not on record
 */
export function freeRun(
  body: Body,
  day: Course,
  dayBefore: Float64Array,
): { maeK: number; beforeMaeK: number } | null {
  const hours = day.stepMin / 60;
  let [value, error, before, count] = [day.air[0] as number, 0, 0, 0];
  for (let n = 0; n + 1 < day.air.length; n++) {
    const { lossPerH, gainPerH, heatPerH } = body;
    const rate =
      lossPerH * ((day.outside[n] as number) - value) + gainPerH * (day.light[n] as number) + heatPerH;
    if (Number.isNaN(rate)) return null;
    value += rate * hours;
    const truth = day.air[n + 1] as number;
    const then = dayBefore[n + 1] as number;
    if (Number.isNaN(truth) || Number.isNaN(then)) continue;
    error += Math.abs(value - truth);
    before += Math.abs(then - truth);
    count++;
  }
  return count < day.air.length / 2 ? null : { maeK: error / count, beforeMaeK: before / count };
}
