import type { ProbeRecord } from './series.ts';

/** A reading without a neighbour close enough: a dot on a chart, no time covered. */
const LONE = 1;
/** Inside a covered stretch of the probe, its ends included. */
const COVERED = 2;

/**
 * One probe sampled at every time of a grid. `known[i]` is 0 where nothing is known of it; `joined[i]` is 1
 * where it covers all of i to i+1.
 */
export type Sample = {
  readonly values: Float64Array;
  readonly known: Uint8Array;
  readonly joined: Uint8Array;
};

/**
 * One probe's value at each time of a grid, interpolated inside its covered stretches.
 * @param record readings of one probe
 * @param options.gridMs strictly ascending times that include all times of the record, ms since epoch
 * @param options.maxGapMs longest time between joined readings, ms, > 0
 * @returns values in the unit of the record
 * @example sampleOnGrid(record, { gridMs: mergedTimesMs([record, other]), maxGapMs: DEFAULT_MAX_GAP_MS })
 */
export function sampleOnGrid(
  record: ProbeRecord,
  options: { gridMs: Float64Array; maxGapMs: number },
): Sample {
  const { timesMs, values: read } = record;
  const { gridMs, maxGapMs } = options;
  const values = new Float64Array(gridMs.length);
  const known = new Uint8Array(gridMs.length);
  const joined = new Uint8Array(gridMs.length);
  const joinsNext = (k: number) =>
    k >= 0 && k + 1 < timesMs.length && (timesMs[k + 1] as number) - (timesMs[k] as number) <= maxGapMs;
  let last = -1;
  for (let i = 0; i < gridMs.length; i++) {
    const atMs = gridMs[i] as number;
    if (last + 1 < timesMs.length && (timesMs[last + 1] as number) <= atMs) {
      last++;
      values[i] = read[last] as number;
      known[i] = joinsNext(last - 1) || joinsNext(last) ? COVERED : LONE;
    } else if (joinsNext(last)) {
      const startMs = timesMs[last] as number;
      const share = (atMs - startMs) / ((timesMs[last + 1] as number) - startMs);
      values[i] = (read[last] as number) + ((read[last + 1] as number) - (read[last] as number)) * share;
      known[i] = COVERED;
    }
    joined[i] = joinsNext(last) ? 1 : 0;
  }
  return { values, known, joined };
}

/**
 * The median of the probes at one time of the grid: of those covered then, else of lone readings then.
 * @param samples the probes of one position on one grid
 * @param index place of the time in the grid
 * @returns the median in the unit of the samples, null where no probe is known
 * @example medianAt(samples, 0)
 */
export function medianAt(samples: readonly Sample[], index: number): number | null {
  return medianOfKnown(samples, { index, state: COVERED }) ?? medianOfKnown(samples, { index, state: LONE });
}

/** Of one probe or two, as nearly all positions have, without a list of them: a month of readings is a million times. */
function medianOfKnown(samples: readonly Sample[], of: { index: number; state: number }): number | null {
  const { index, state } = of;
  let [count, sum] = [0, 0];
  for (const { known, values } of samples) {
    if (known[index] !== state) continue;
    sum += values[index] as number;
    count += 1;
  }
  if (count < 2) return count === 0 ? null : sum;
  return count === 2 ? sum / 2 : medianOf(valuesKnown(samples, index, state));
}

function valuesKnown(samples: readonly Sample[], index: number, state: number): number[] {
  const values: number[] = [];
  for (const { known, values: sampled } of samples) {
    if (known[index] === state) values.push(sampled[index] as number);
  }
  return values;
}

/** One end of the grid interval from time `index` to the next: 0 is its start, 1 its end. */
type IntervalEnd = { readonly index: number; readonly end: 0 | 1 };

/**
 * The values, at one end of a grid interval, of the probes that cover the whole interval.
 * @param samples the probes of one position on one grid
 * @param at which end of which interval
 * @returns values in the unit and order of the samples
 * @example joinedValues(samples, { index: 0, end: 1 })
 */
export function joinedValues(samples: readonly Sample[], at: IntervalEnd): number[] {
  const values: number[] = [];
  for (const { joined, values: sampled } of samples) {
    if (joined[at.index] === 1) values.push(sampled[at.index + at.end] as number);
  }
  return values;
}

/**
 * The median, at one end of a grid interval, of the probes that cover the whole interval.
 * @param samples the probes of one position on one grid
 * @param at which end of which interval
 * @returns the median in the unit of the samples, null where no probe covers the interval
 * @example joinedMedian(samples, { index: 0, end: 1 })
 */
export function joinedMedian(samples: readonly Sample[], at: IntervalEnd): number | null {
  const { index, end } = at;
  let [count, sum] = [0, 0];
  for (const { joined, values } of samples) {
    if (joined[index] !== 1) continue;
    sum += values[index + end] as number;
    count += 1;
  }
  if (count < 2) return count === 0 ? null : sum;
  return count === 2 ? sum / 2 : medianOf(joinedValues(samples, at));
}

/**
 * The middle value, or the mean of the middle two.
 * @param values numbers in any order, one unit
 * @returns the median in the same unit, null for no values
 * @example medianOf([3, 1, 2]) // 2
 */
export function medianOf(values: readonly number[]): number | null {
  const sorted = values.length > 2 ? [...values].sort((a, b) => a - b) : values;
  const upper = sorted[sorted.length >> 1];
  if (upper === undefined) return null;
  if (sorted.length % 2 === 1) return upper;
  return ((sorted[(sorted.length >> 1) - 1] as number) + upper) / 2;
}
