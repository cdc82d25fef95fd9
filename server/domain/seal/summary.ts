import { checkMaxGap } from '../../../shared/exposure/coverage.ts';
import type { ProbeRecord } from '../../../shared/exposure/series.ts';

/**
 * What a block of readings comes to by itself, whatever stands before or after it. Straight pieces that join its first
 * or last reading to a neighbouring block are not in it: the reader adds them from the last reading of one block and
 * the first of the next, and cuts them where its own span ends.
 */
export type BlockSummary = {
  readonly count: number;
  readonly firstMs: number;
  readonly lastMs: number;
  readonly firstValue: number;
  readonly lastValue: number;
  readonly min: number;
  readonly max: number;
  /** time covered between the readings of the block */
  readonly coveredMs: number;
  /** value · ms over the covered time, straight between readings; over coveredMs it is the time-weighted mean */
  readonly area: number;
};

/**
 * Sums up a block of readings: extremes of all of them, time and area of the straight pieces between them.
 * @param record 1 or more readings; times ms since epoch, ascending; finite values in the unit of the probe
 * @param options.maxGapMs longest time between joined readings, ms, > 0; exactly this long is joined
 * @returns times in ms, values in the unit of the record, area in that unit times ms; all finite
 * @throws RangeError when the record is empty, or maxGapMs is not above 0
 * @example summaryOf({ timesMs: Float64Array.of(0, 60_000), values: Float64Array.of(20, 22) }, { maxGapMs: 900_000 }).area // 1260000
 */
export function summaryOf(
  { timesMs, values }: ProbeRecord,
  { maxGapMs }: { maxGapMs: number },
): BlockSummary {
  checkMaxGap(maxGapMs);
  const count = timesMs.length;
  if (count === 0) throw new RangeError('0 readings; expected 1 or more');
  const firstMs = timesMs[0] as number;
  const firstValue = values[0] as number;
  let lastMs = firstMs;
  let lastValue = firstValue;
  let min = firstValue;
  let max = firstValue;
  let coveredMs = 0;
  let area = 0;
  for (let i = 1; i < count; i++) {
    const timeMs = timesMs[i] as number;
    const value = values[i] as number;
    const ms = timeMs - lastMs;
    if (ms <= maxGapMs) {
      coveredMs += ms;
      area += (ms * (lastValue + value)) / 2;
    }
    if (value < min) min = value;
    if (value > max) max = value;
    lastMs = timeMs;
    lastValue = value;
  }
  return { count, firstMs, lastMs, firstValue, lastValue, min, max, coveredMs, area: finite(area) };
}

/** A probe that nobody knows may report any finite value: an area beyond any number is kept as the largest there is. */
function finite(area: number): number {
  if (Number.isFinite(area)) return area;
  return Number.isNaN(area) ? 0 : Math.sign(area) * Number.MAX_VALUE;
}
