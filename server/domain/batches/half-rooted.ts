import type { Interval } from '../../../shared/statistics/proportion.ts';
import { meanOfFew } from '../../../shared/statistics/student.ts';

/** One count of a batch. */
type RootedCount = { readonly atMs: number; readonly examined: number; readonly rooted: number };

/** When half of a batch had roots; or why that is not known. */
type HalfRooted =
  | { readonly atMs: number; readonly beforeMs: number; readonly afterMs: number }
  | { readonly reason: 'no-count' | 'not-yet-half' | 'half-at-first-count' };

/**
 * When half of a batch had roots: on the straight line between the last count of less than half before, and the first
 * of half or more.
 *
 * Counts of samples go up and down by chance; the first step across the half counts. Nothing is read from before the
 * first count: roots do not begin at sticking.
 * @param counts in any order; examined 1 or more; rooted 0…examined
 * @returns ms since epoch, with the counts between which it lies; or the reason why it is not known
 * @example halfRooted([{ atMs: 0, examined: 20, rooted: 4 }, { atMs: 4, examined: 20, rooted: 12 }]) // atMs 3
 */
export function halfRooted(counts: readonly RootedCount[]): HalfRooted {
  const ordered = counts.filter(({ examined }) => examined > 0).toSorted((a, b) => a.atMs - b.atMs);
  if (ordered.length === 0) return { reason: 'no-count' };
  const shareOf = ({ rooted, examined }: RootedCount) => rooted / examined;
  const next = ordered.findIndex((count) => shareOf(count) >= 0.5);
  const after = ordered[next];
  if (!after) return { reason: 'not-yet-half' };
  const before = ordered[next - 1];
  if (!before) return { reason: 'half-at-first-count' };
  const along = (0.5 - shareOf(before)) / (shareOf(after) - shareOf(before));
  return {
    atMs: before.atMs + along * (after.atMs - before.atMs),
    beforeMs: before.atMs,
    afterMs: after.atMs,
  };
}

/** Thermal time from sticking to half rooted of one finished batch, °C·h, with base, optimum and stop of its crop. */
export type FinishedBatch = { readonly batchId: string; readonly degreeHours: number };

/** The grower's own total to half rooted; or how many batches are still wanting. */
type OwnFit =
  | {
      readonly batches: number;
      /** °C·h */
      readonly mean: number;
      readonly standardDeviation: number;
      /** of the mean */
      readonly mean95: Interval;
      /** of the next batch; not below 0 */
      readonly next95: Interval;
    }
  | { readonly reason: 'too-few-batches'; readonly batches: number; readonly needed: number };

/** With fewer nothing is said of the next: no total of any crop is published. */
export const FEWEST_BATCHES = 3;

/**
 * How much thermal time the grower's own batches of a crop took until half were rooted, and where the next is expected.
 *
 * No paper prints a total (not for poinsettia either), so none is assumed.
 * @param finished batches of one crop counted with the same base, optimum and stop; °C·h above 0
 * @returns mean and 95 % intervals by Student's t, °C·h; or the reason why there are none
 * @throws RangeError for thermal time that is not above 0
 * @source [AS64] Student's t
 * @example ownFit([{ batchId: 'a', degreeHours: 900 }]) // reason 'too-few-batches', 1 of 3
 */
export function ownFit(finished: readonly FinishedBatch[]): OwnFit {
  for (const { batchId, degreeHours } of finished)
    if (!(degreeHours > 0))
      throw new RangeError(`thermal time of batch ${batchId} must be above 0 °C·h, was ${degreeHours}`);
  const batches = finished.length;
  if (batches < FEWEST_BATCHES) return { reason: 'too-few-batches', batches, needed: FEWEST_BATCHES };
  const { mean, standardDeviation, mean95, next95 } = meanOfFew(finished.map((one) => one.degreeHours));
  return {
    batches,
    mean,
    standardDeviation,
    mean95: aboveNothing(mean95),
    next95: aboveNothing(next95),
  };
}

function aboveNothing({ low, high }: Interval): Interval {
  return { low: Math.max(low, 0), high };
}

/** Thermal time of one past day, °C·h, and how much of the day was on record, h. */
type DayOfThermalTime = { readonly degreeHours: number; readonly coveredHours: number };

/** When half of a batch is expected to have roots; or why nothing is said. */
export type Expectation =
  | {
      readonly atMs: number;
      readonly earliestMs: number;
      /** null where at the slowest rate it would never be reached */
      readonly latestMs: number | null;
      /** °C·h a day of the last days */
      readonly ratePerDay: number;
    }
  | { readonly reason: 'too-few-batches' | 'too-little-recorded' | 'no-progress' };

const MS_PER_DAY = 86_400_000;
const HOURS_PER_DAY = 24;
/** Half a day on record speaks for the whole. Proposal. */
const LEAST_COVERED_HOURS = 12;
const FEWEST_DAYS = 2;

/**
 * When half of a batch is expected to have roots, from the grower's own total and the thermal time of the last days.
 *
 * Both uncertainties count at their ends: the earliest is the least total at the fastest rate of the mean, the latest the
 * most at the slowest. A day with a part on record counts in proportion; with less than half of it, not at all.
 * @param facts own fit; thermal time so far, °C·h; the last days; now, ms since epoch
 * @returns ms since epoch, none before now; or the reason why nothing is said
 * @source [WILKERSON05] thermal time as the clock of rooting; totals and intervals are the grower's own
 */
export function expectHalfRooted(facts: {
  readonly fit: OwnFit;
  readonly degreeHours: number;
  readonly lastDays: readonly DayOfThermalTime[];
  readonly nowMs: number;
}): Expectation {
  const { fit, degreeHours, lastDays, nowMs } = facts;
  if ('reason' in fit) return { reason: fit.reason };
  const rates = lastDays
    .filter(({ coveredHours }) => coveredHours >= LEAST_COVERED_HOURS)
    .map((day) => (day.degreeHours / day.coveredHours) * HOURS_PER_DAY);
  if (rates.length < FEWEST_DAYS) return { reason: 'too-little-recorded' };
  const { mean: ratePerDay, mean95 } = meanOfFew(rates);
  const wanting = (total: number) => Math.max(total - degreeHours, 0);
  const reachedMs = (total: number, perDay: number) =>
    wanting(total) === 0 ? nowMs : nowMs + (wanting(total) / perDay) * MS_PER_DAY;
  if (ratePerDay <= 0 && wanting(fit.mean) > 0) return { reason: 'no-progress' };
  const isReached = mean95.low > 0 || wanting(fit.next95.high) === 0;
  return {
    atMs: reachedMs(fit.mean, ratePerDay),
    earliestMs: reachedMs(fit.next95.low, mean95.high),
    latestMs: isReached ? reachedMs(fit.next95.high, mean95.low) : null,
    ratePerDay,
  };
}
