/** How many of those examined have what is counted, such as cuttings with roots. */
export type Counted = { readonly successes: number; readonly trials: number };

/** A range that holds the true value in 95 of 100 cases. */
export type Interval = { readonly low: number; readonly high: number };

/** The standard normal deviate that 2.5 % exceed. */
const Z_95 = 1.959963984540054;

function requireCounted({ successes, trials }: Counted): void {
  if (!(Number.isInteger(trials) && trials >= 1))
    throw new RangeError(`trials must be a whole number, 1 or more, was ${trials}`);
  if (!(Number.isInteger(successes) && successes >= 0 && successes <= trials))
    throw new RangeError(`successes must be a whole number from 0 to ${trials}, was ${successes}`);
}

/**
 * What share of all there are is likely, from the share among those examined: Wilson's score interval, 95 %, without
 * continuity correction.
 *
 * Its ends are the shares from which what was counted lies 1.96 standard deviations away. Unlike the usual ± interval
 * it never leaves 0…1 and has a width where none or all were counted. It covers the true share in about 95 of 100
 * cases on average, and in fewer near 0 and 1. Cuttings of one tray that share a fault are not independent: then the
 * true uncertainty is wider.
 * @param counted trials 1 or more; successes 0…trials; whole numbers
 * @returns shares, 0…1, low ≤ share ≤ high
 * @throws RangeError outside those ranges
 * @source [WILSON27] the interval; [NEWCOMBE98A] method 3; [BROWN01] recommends it where few are counted
 * @example wilsonInterval({ successes: 40, trials: 50 }).low // 0.6696
 */
export function wilsonInterval(counted: Counted): Interval {
  requireCounted(counted);
  const { successes, trials } = counted;
  const failures = trials - successes;
  const z2 = Z_95 * Z_95;
  const halfWidth = Z_95 * Math.sqrt(z2 + (4 * successes * failures) / trials);
  const scale = 2 * (trials + z2);
  return {
    low: successes === 0 ? 0 : (2 * successes + z2 - halfWidth) / scale,
    high: failures === 0 ? 1 : (2 * successes + z2 + halfWidth) / scale,
  };
}

/**
 * By how much two shares differ, with the 95 % interval of the difference: Newcombe's method 10, made of the two
 * Wilson intervals.
 * @param first trials 1 or more; successes 0…trials; whole numbers
 * @param second the same
 * @returns share of the first less that of the second, −1…1, and its interval within −1…1
 * @throws RangeError outside those ranges
 * @source [NEWCOMBE98B] method 10
 * @example differenceInterval({ successes: 56, trials: 70 }, { successes: 48, trials: 80 }).low // 0.0524
 */
export function differenceInterval(
  first: Counted,
  second: Counted,
): Interval & { readonly difference: number } {
  const [one, two] = [wilsonInterval(first), wilsonInterval(second)];
  const shareOne = first.successes / first.trials;
  const shareTwo = second.successes / second.trials;
  const difference = shareOne - shareTwo;
  return {
    difference,
    low: Math.max(difference - Math.hypot(shareOne - one.low, two.high - shareTwo), -1),
    high: Math.min(difference + Math.hypot(one.high - shareOne, shareTwo - two.low), 1),
  };
}

/**
 * Whether what was counted tells two shares apart: no difference lies outside the 95 % interval of the difference.
 * @param interval of a difference of shares, −1…1
 * @returns false while the interval holds 0, also at its end; then neither may be called the better
 * @source [NEWCOMBE98B] the interval; the rule is the project's
 * @example isDistinct({ low: -0.0536, high: 0.4305 }) // false
 */
export function isDistinct({ low, high }: Interval): boolean {
  return low > 0 || high < 0;
}
