import type { ProbeRecord } from '../../../shared/exposure/series.ts';

/** A reading of the probe that the record belongs to. */
type LateReading = { readonly tMs: number; readonly value: number };

/** A value that came for a time that already had another. */
type Conflict = { readonly tMs: number; readonly kept: number; readonly turnedAway: number };

type Merged = {
  readonly record: ProbeRecord;
  /** late readings that are now in the record */
  readonly added: number;
  /** late readings that repeat what was known */
  readonly repeats: number;
  /** in the order of their times, those of one time in the order of arrival */
  readonly conflicts: readonly Conflict[];
};

/**
 * Puts late readings where their times belong. The first value to arrive for a time stays: that of the record, then
 * that of the earliest late reading. The same value again is a repeat (0 and −0 are the same), another is a conflict.
 * @param record readings stored before, ascending; may be empty
 * @param late readings of the same probe in the order of their arrival, times whole ms since epoch
 * @returns a new record of both, and what became of the late ones
 * @example mergeLate(record, [{ tMs: 5, value: 21 }]).added // 1
 */
export function mergeLate({ timesMs, values }: ProbeRecord, late: readonly LateReading[]): Merged {
  const sorted = late.toSorted((a, b) => a.tMs - b.tMs);
  const merged = room(timesMs.length + sorted.length);
  const conflicts: Conflict[] = [];
  let count = 0;
  let next = 0;
  let repeats = 0;
  const put = (tMs: number, value: number): void => {
    merged.timesMs[count] = tMs;
    merged.values[count++] = value;
  };
  for (const { tMs, value } of sorted) {
    for (; next < timesMs.length && (timesMs[next] as number) <= tMs; next++) {
      put(timesMs[next] as number, values[next] as number);
    }
    const kept = merged.values[count - 1] as number;
    if (count === 0 || merged.timesMs[count - 1] !== tMs) put(tMs, value);
    else if (kept === value) repeats++;
    else conflicts.push({ tMs, kept, turnedAway: value });
  }
  for (; next < timesMs.length; next++) put(timesMs[next] as number, values[next] as number);
  const record = { timesMs: merged.timesMs.slice(0, count), values: merged.values.slice(0, count) };
  return { record, added: count - timesMs.length, repeats, conflicts };
}

function room(count: number): ProbeRecord {
  return { timesMs: new Float64Array(count), values: new Float64Array(count) };
}
