export const MS_PER_HOUR = 3_600_000;

/** One probe's readings: strictly ascending times, one finite value each. Treat as read-only. */
export type ProbeRecord = { readonly timesMs: Float64Array; readonly values: Float64Array };

/** Covered straight pieces, ascending and not overlapping; a value may jump from one piece to the next. */
export type Segments = {
  readonly count: number;
  readonly startMs: Float64Array;
  readonly endMs: Float64Array;
  readonly startValue: Float64Array;
  readonly endValue: Float64Array;
};

/** The stored moments and their values; `joined[k]` is 1 where all of k to k+1 is covered, 0 at a gap. */
export type Knots = {
  readonly count: number;
  readonly timesMs: Float64Array;
  readonly values: Float64Array;
  readonly joined: Uint8Array;
};

/** What a quantity did: the pieces exposures are counted on, and the stored moments a chart shows. */
export type Curve = { readonly segments: Segments; readonly knots: Knots };

/** A span of time that holds its start and not its end. */
export type Window = { readonly fromMs: number; readonly toMs: number };

/**
 * The record of one probe, checked once so that everything after may trust it.
 * @param readings.timesMs times of the readings, ms since epoch, strictly ascending
 * @param readings.values one finite value a reading, in the unit of its quantity
 * @returns a record of the same readings
 * @throws RangeError when the lengths differ, a time does not ascend, or a number is not finite
 * @example probeRecord({ timesMs: [0, 60_000], values: [21, 22] })
 */
export function probeRecord(readings: {
  timesMs: ArrayLike<number>;
  values: ArrayLike<number>;
}): ProbeRecord {
  const timesMs = new Float64Array(readings.timesMs);
  const values = new Float64Array(readings.values);
  if (timesMs.length !== values.length) {
    throw new RangeError(`${timesMs.length} times but ${values.length} values; expected one value a time`);
  }
  for (let i = 0; i < timesMs.length; i++) {
    const timeMs = timesMs[i] as number;
    if (!Number.isFinite(timeMs) || !Number.isFinite(values[i])) {
      throw new RangeError(`reading ${i}: time ${timeMs}, value ${values[i]}; expected finite numbers`);
    }
    if (i > 0 && timeMs <= (timesMs[i - 1] as number)) {
      throw new RangeError(`reading ${i}: time ${timeMs} does not come after ${timesMs[i - 1]}`);
    }
  }
  return { timesMs, values };
}

/**
 * All times at which any of the probes was read, each once.
 * @param records records in any order
 * @returns strictly ascending times, ms since epoch
 * @example mergedTimesMs([probeRecord({ timesMs: [0, 2], values: [1, 1] })]) // 0, 2
 */
export function mergedTimesMs(records: readonly ProbeRecord[]): Float64Array {
  return records.reduce<Float64Array>((merged, record) => union(merged, record.timesMs), new Float64Array());
}

function union(left: Float64Array, right: Float64Array): Float64Array {
  if (left.length === 0) return right;
  const merged = new Float64Array(left.length + right.length);
  let count = 0;
  let i = 0;
  let j = 0;
  while (i < left.length || j < right.length) {
    const fromLeft = i < left.length ? (left[i] as number) : Number.POSITIVE_INFINITY;
    const fromRight = j < right.length ? (right[j] as number) : Number.POSITIVE_INFINITY;
    merged[count++] = Math.min(fromLeft, fromRight);
    if (fromLeft <= fromRight) i++;
    if (fromRight <= fromLeft) j++;
  }
  return merged.subarray(0, count);
}
