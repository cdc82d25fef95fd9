import { MS_PER_HOUR, type ProbeRecord, type Segments } from './series.ts';

/** Readings at most this far apart are joined by a straight line: 15 minutes. A place may set its own. */
export const DEFAULT_MAX_GAP_MS = MS_PER_HOUR / 4;

/**
 * The covered course of one probe: straight between readings that are close enough, nothing elsewhere.
 * A reading with no neighbour close enough covers no time and so makes no segment.
 * @param record readings of one probe
 * @param options.maxGapMs longest time between joined readings, ms, > 0; exactly this long is joined
 * @returns segments in the unit of the record
 * @throws RangeError when maxGapMs is not above 0
 * @example segmentsOf(record, { maxGapMs: DEFAULT_MAX_GAP_MS }) // 00:00, 00:15, 00:31 → one segment
 */
export function segmentsOf(record: ProbeRecord, options: { maxGapMs: number }): Segments {
  checkMaxGap(options.maxGapMs);
  const { timesMs, values } = record;
  const most = Math.max(0, timesMs.length - 1);
  const startMs = new Float64Array(most);
  const endMs = new Float64Array(most);
  const startValue = new Float64Array(most);
  const endValue = new Float64Array(most);
  let count = 0;
  for (let i = 0; i < most; i++) {
    const start = timesMs[i] as number;
    const end = timesMs[i + 1] as number;
    if (end - start > options.maxGapMs) continue;
    startMs[count] = start;
    endMs[count] = end;
    startValue[count] = values[i] as number;
    endValue[count] = values[i + 1] as number;
    count++;
  }
  return { count, startMs, endMs, startValue, endValue };
}

/**
 * Refuses a longest gap that could join nothing.
 * @param maxGapMs longest time between joined readings, ms
 * @throws RangeError when maxGapMs is not above 0
 */
export function checkMaxGap(maxGapMs: number): void {
  if (!(maxGapMs > 0)) throw new RangeError(`maxGapMs is ${maxGapMs}; expected more than 0 ms`);
}
