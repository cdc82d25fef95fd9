import type { ProbeRecord, Window } from '../../../shared/exposure/series.ts';
import type { RecordsByQuantity } from './curves.ts';

/**
 * The part of some records that lies in a window, with a margin around it. Nothing is copied.
 * @param marginMs what the edges of the window need, ms
 */
export function recordsWithin(
  records: RecordsByQuantity,
  window: Window,
  marginMs: number,
): RecordsByQuantity {
  const wide = { fromMs: window.fromMs - marginMs, toMs: window.toMs + marginMs };
  const entries = Object.entries(records).map(([quantity, some]) => [
    quantity,
    some.map((record) => recordWithin(record, wide)),
  ]);
  return Object.fromEntries(entries);
}

function recordWithin({ timesMs, values }: ProbeRecord, { fromMs, toMs }: Window): ProbeRecord {
  const [start, end] = [firstFrom(timesMs, fromMs), firstFrom(timesMs, toMs)];
  return { timesMs: timesMs.subarray(start, end), values: values.subarray(start, end) };
}

/** Index of the first time at or after a moment. */
function firstFrom(timesMs: Float64Array, atMs: number): number {
  let low = 0;
  let high = timesMs.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((timesMs[middle] as number) < atMs) low = middle + 1;
    else high = middle;
  }
  return low;
}
