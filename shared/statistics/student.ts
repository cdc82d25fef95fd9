import type { Interval } from './proportion.ts';

/** Halving so often leaves less than 1e-12 of the largest quantile, 12.7. */
const HALVINGS = 60;
const MOST_QUANTILE = 13;

/**
 * How far a mean of few values may lie from the true one, in standard errors: Student's t, exceeded on either side in
 * 5 of 100 cases.
 * @param degreesOfFreedom values less one, a whole number from 1
 * @returns 12.706 at 1, falling to 1.960; exact to 1e-9
 * @throws RangeError below 1 or between whole numbers
 * @source [AS64] 26.7.3 and 26.7.4, inverted by halving; table 26.10
 * @example studentT95(2) // 4.303
 */
export function studentT95(degreesOfFreedom: number): number {
  if (!(Number.isInteger(degreesOfFreedom) && degreesOfFreedom >= 1))
    throw new RangeError(`degrees of freedom must be a whole number, 1 or more, was ${degreesOfFreedom}`);
  let [low, high] = [0, MOST_QUANTILE];
  for (let step = 0; step < HALVINGS; step += 1) {
    const middle = (low + high) / 2;
    if (withinShare(middle, degreesOfFreedom) < 0.95) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** How often t lies within ± a value: a finite sum in the angle whose tangent is t/√ν. */
function withinShare(t: number, degreesOfFreedom: number): number {
  const angle = Math.atan(t / Math.sqrt(degreesOfFreedom));
  const [sine, cosine] = [Math.sin(angle), Math.cos(angle)];
  const isOdd = degreesOfFreedom % 2 === 1;
  let term = isOdd ? cosine : 1;
  let sum = degreesOfFreedom === 1 ? 0 : term;
  for (let k = isOdd ? 3 : 2; k <= degreesOfFreedom - 2; k += 2) {
    term *= (cosine * cosine * (k - 1)) / k;
    sum += term;
  }
  return isOdd ? (2 / Math.PI) * (angle + sine * sum) : sine * sum;
}

/** A mean, how sure it is, and where the next value of the same kind is expected. */
export type MeanOfFew = {
  readonly mean: number;
  /** of the values, with n − 1 */
  readonly standardDeviation: number;
  /** holds the true mean in 95 of 100 cases */
  readonly mean95: Interval;
  /** holds the next value in 95 of 100 cases */
  readonly next95: Interval;
};

/**
 * The mean of few values with its 95 % interval, and the wider one of the next value, taking them as normally
 * distributed and independent.
 * @param values two or more finite numbers, any unit
 * @returns in the unit of the values; the next value's interval is √(n + 1) times as wide as that of the mean
 * @throws RangeError with fewer than two values, or one that is not finite
 * @source [AS64] table 26.10 for t; the intervals by definition
 * @example meanOfFew([900, 1000, 1100]).mean95.high // 1248
 */
export function meanOfFew(values: readonly number[]): MeanOfFew {
  const n = values.length;
  if (n < 2 || !values.every(Number.isFinite))
    throw new RangeError(`two or more finite values are needed, were ${values.join(', ') || 'none'}`);
  const mean = values.reduce((sum, value) => sum + value, 0) / n;
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  const standardDeviation = Math.sqrt(squares / (n - 1));
  const reach = studentT95(n - 1) * standardDeviation;
  const about = (halfWidth: number): Interval => ({ low: mean - halfWidth, high: mean + halfWidth });
  return {
    mean,
    standardDeviation,
    mean95: about(reach * Math.sqrt(1 / n)),
    next95: about(reach * Math.sqrt(1 + 1 / n)),
  };
}
