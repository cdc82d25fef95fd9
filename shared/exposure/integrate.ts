import { type BandPiece, bandsOf, type LimitPiece } from './bands.ts';
import { MS_PER_HOUR, type Segments, type Window } from './series.ts';
import { sumOver } from './sums.ts';

/** How long and how far a quantity was outside its band. Min, max and mean are null when nothing is covered. */
export type BandExposure = {
  readonly coveredHours: number;
  readonly hoursBelow: number;
  readonly hoursWithin: number;
  readonly hoursAbove: number;
  readonly unitHoursBelow: number;
  readonly unitHoursAbove: number;
  readonly min: number | null;
  readonly max: number | null;
  readonly mean: number | null;
};

/**
 * How long and how far a quantity was below, within and above its band over a window, exactly.
 * At a limit is within. Below, within and above sum to the covered hours.
 * @param segments covered straight pieces
 * @param pieces the bands in force, contiguous, holding the whole window; limits in the unit of the segments
 * @param window the span asked about, ms since epoch
 * @returns hours, unit·h outside each limit (both ≥ 0), extremes, and the mean weighted by time
 * @throws RangeError when the window ends before it starts, or the bands do not hold it (see bandsOf)
 * @example bandExposure(segments, [{ fromMs, toMs, low: null, high: 25 }], { fromMs, toMs })
 *   // 24 to 28 °C over 2 h: hoursAbove 1.5, unitHoursAbove 2.25
 */
export function bandExposure(segments: Segments, pieces: readonly BandPiece[], window: Window): BandExposure {
  const sums = sumOver(segments, bandsOf(pieces, window), window);
  const covered = sums.coveredMs > 0;
  return {
    coveredHours: sums.coveredMs / MS_PER_HOUR,
    hoursBelow: sums.belowMs / MS_PER_HOUR,
    hoursWithin: sums.withinMs / MS_PER_HOUR,
    hoursAbove: sums.aboveMs / MS_PER_HOUR,
    unitHoursBelow: sums.areaBelow / MS_PER_HOUR,
    unitHoursAbove: sums.areaAbove / MS_PER_HOUR,
    min: covered ? sums.min : null,
    max: covered ? sums.max : null,
    mean: covered ? meanOf(sums) : null,
  };
}

/**
 * How long and how far a quantity was strictly above a limit, such as the air ceiling.
 * @param segments covered straight pieces
 * @param pieces the limit in force, contiguous, holding the whole window; null where there is none
 * @param window the span asked about, ms since epoch
 * @returns covered hours, hours over the limit and unit·h over it
 * @throws RangeError as bandExposure
 * @example excessOver(airSegments, [{ fromMs, toMs, limit: 26.7 }], { fromMs, toMs }).unitHoursOver
 */
export function excessOver(
  segments: Segments,
  pieces: readonly LimitPiece[],
  window: Window,
): { coveredHours: number; hoursOver: number; unitHoursOver: number } {
  const bands = pieces.map(({ fromMs, toMs, limit, toLimit = limit }) => ({
    fromMs,
    toMs,
    low: null,
    high: limit,
    course:
      toLimit === limit ? null : { sinceMs: fromMs, overMs: toMs - fromMs, to: { low: null, high: toLimit } },
  }));
  const exposure = bandExposure(segments, bands, window);
  return {
    coveredHours: exposure.coveredHours,
    hoursOver: exposure.hoursAbove,
    unitHoursOver: exposure.unitHoursAbove,
  };
}

/**
 * The mean weighted by time.
 * @param sums sums over a window with something covered
 * @returns the mean, in the unit of the segments, never outside the extremes
 * @example meanOf(sumOver(segments, WIDE_OPEN, window))
 */
export function meanOf(sums: { area: number; coveredMs: number; min: number; max: number }): number {
  // Rounding could carry the mean of a constant a hair outside its only value.
  return Math.min(Math.max(sums.area / sums.coveredMs, sums.min), sums.max);
}
