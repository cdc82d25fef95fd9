import { MS_PER_HOUR } from '../../../shared/exposure/series.ts';

/** Fewest days that readings must be kept: charts and edits of the last month never lack them. */
export const LEAST_RAW_DAYS = 35;

/**
 * Hours by which a reading may bear on what is counted, rounded up: two gaps of the longest a place may set (24 h),
 * and a cloud of 45 minutes where light makes the day.
 */
export const REACH_HOURS = 49;

/**
 * How far the dropping of old readings has come, in hours since 1970 (UTC). Exposures before `countedHour` are
 * settled for good; blocks before `droppedHour` hold minutes in place of readings. Neither ever goes back.
 */
export type Horizon = { readonly countedHour: number; readonly droppedHour: number };

/** What the horizon means for those who ask, ms since epoch; each is −∞ while nothing was dropped. */
type HorizonMs = {
  /** readings and targets before this are refused: all that could still be counted again has its readings */
  readonly takenFromMs: number;
  /** exposures before this stay as they were settled */
  readonly countedFromMs: number;
  /** before this there are minutes in place of readings */
  readonly readingsFromMs: number;
};

/**
 * What the horizon means. A reading that is accepted reaches back to hours that are still counted again, and those reach
 * back to readings that are still there: so an answer about them never depends on what was dropped.
 * @param horizon hours since 1970, or null while nothing was ever dropped
 * @returns ms since epoch
 * @example horizonMs({ countedHour: 100, droppedHour: 51 }).takenFromMs // 149 h after 1970
 */
export function horizonMs(horizon: Horizon | null): HorizonMs {
  if (horizon === null) {
    const never = Number.NEGATIVE_INFINITY;
    return { takenFromMs: never, countedFromMs: never, readingsFromMs: never };
  }
  return {
    takenFromMs: (horizon.countedHour + REACH_HOURS) * MS_PER_HOUR,
    countedFromMs: horizon.countedHour * MS_PER_HOUR,
    readingsFromMs: horizon.droppedHour * MS_PER_HOUR,
  };
}

/**
 * Up to which hour exposures are to be settled for good, so that readings older than so many days may go.
 * @param options.nowMs ms since epoch
 * @param options.keepRawDays whole days, LEAST_RAW_DAYS or more
 * @returns hours since 1970
 * @example countedHourFor({ nowMs: 0, keepRawDays: 35 }) // -889
 */
export function countedHourFor({
  nowMs,
  keepRawDays,
}: {
  readonly nowMs: number;
  readonly keepRawDays: number;
}): number {
  return Math.floor(nowMs / MS_PER_HOUR) - keepRawDays * 24 - REACH_HOURS;
}
