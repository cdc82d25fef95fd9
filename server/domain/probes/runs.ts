import type { ProbeRecord } from '../../../shared/exposure/series.ts';

/** Readings that follow each other without a gap and belong together. */
export type Run = {
  readonly fromMs: number;
  readonly toMs: number;
  readonly readings: number;
  readonly min: number;
  readonly max: number;
};

/**
 * A record cut into runs: a reading that does not join the run before it, or comes after a gap, begins another.
 * @param record readings of one probe
 * @param how.maxGapMs longest time between readings of a run, ms
 * @param how.joins whether a value belongs to the run so far
 * @returns all readings, each in one run, ascending
 * @example runsWhere(record, { maxGapMs: 900_000, joins: (value, run) => value === run.max })
 */
export function runsWhere(
  { timesMs, values }: ProbeRecord,
  how: { readonly maxGapMs: number; readonly joins: (value: number, run: Run) => boolean },
): Run[] {
  const runs: Run[] = [];
  let run: { -readonly [K in keyof Run]: Run[K] } | null = null;
  for (let i = 0; i < values.length; i++) {
    const [tMs, value] = [timesMs[i] as number, values[i] as number];
    if (run && tMs - run.toMs <= how.maxGapMs && how.joins(value, run)) {
      run.toMs = tMs;
      run.readings++;
      run.min = Math.min(run.min, value);
      run.max = Math.max(run.max, value);
    } else {
      if (run) runs.push(run);
      run = { fromMs: tMs, toMs: tMs, readings: 1, min: value, max: value };
    }
  }
  if (run) runs.push(run);
  return runs;
}
