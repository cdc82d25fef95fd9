/** Steps a unit that chips and their print-outs count in; the coarsest come first. Part of the format: only ever add. */
export const STEPS_PER_UNIT = [1, 10, 16, 100, 128, 1000, 10_000, 100_000, 1_000_000] as const;

const MOST_STEPS = 2 ** 30;

/**
 * Finds the coarsest grid on which every value lies exactly, so that a whole number of steps gives it bit for bit.
 * @param values any numbers
 * @returns place in STEPS_PER_UNIT, or null where none fits: some value is off each grid, or 2³⁰ steps or more from 0
 * @example gridOf([21.06, 21.5]) // 3: hundredths
 */
export function gridOf(values: ArrayLike<number>): number | null {
  for (let grid = 0; grid < STEPS_PER_UNIT.length; grid++) {
    const perUnit = STEPS_PER_UNIT[grid] as number;
    let i = 0;
    while (i < values.length && isOn(values[i] as number, perUnit)) i++;
    if (i === values.length) return grid;
  }
  return null;
}

function isOn(value: number, perUnit: number): boolean {
  const steps = Math.round(value * perUnit);
  return steps / perUnit === value && Math.abs(steps) < MOST_STEPS;
}

/**
 * The steps of a value from 0, with its sign in the lowest bit: so −0 differs from 0.
 * @param value a value on the grid
 * @param perUnit steps a unit
 * @returns twice the steps, 1 more below 0 and for −0: 0 to 2³¹ − 1
 * @example gridSteps(-0.5, 10) // 11
 */
export function gridSteps(value: number, perUnit: number): number {
  const steps = Math.round(value * perUnit);
  return steps < 0 || Object.is(steps, -0) ? 1 - 2 * steps : 2 * steps;
}

/**
 * The value that gridSteps encoded.
 * @param steps as returned by gridSteps
 * @param perUnit steps a unit
 * @returns the value, bit for bit
 * @example gridValue(11, 10) // -0.5
 */
export function gridValue(steps: number, perUnit: number): number {
  const size = (steps >>> 1) / perUnit;
  return steps & 1 ? -size : size;
}
