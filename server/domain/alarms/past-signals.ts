import { medianAt, sampleOnGrid } from '../../../shared/exposure/sample.ts';
import { mergedTimesMs, type ProbeRecord } from '../../../shared/exposure/series.ts';
import { type Fresh, fallTowardsAir } from './signals.ts';
import { fallPerHour, type Trail, withStep } from './trail.ts';

/**
 * A value of a place at every time at which one of two positions was read while the other is known: the medians of
 * their probes, as the rules that look at a whole place take them.
 * @param of.f the value of both, null where it does not exist
 */
export function togetherOf(
  left: readonly ProbeRecord[],
  right: readonly ProbeRecord[],
  of: { readonly maxGapMs: number; readonly f: (left: number, right: number) => number | null },
): ProbeRecord {
  const gridMs = mergedTimesMs([...left, ...right]);
  const sampled = (record: ProbeRecord) => sampleOnGrid(record, { gridMs, maxGapMs: of.maxGapMs });
  const [lefts, rights] = [left.map(sampled), right.map(sampled)];
  const timesMs = new Float64Array(gridMs.length);
  const values = new Float64Array(gridMs.length);
  let count = 0;
  for (let i = 0; i < gridMs.length; i += 1) {
    const [a, b] = [medianAt(lefts, i), medianAt(rights, i)];
    const value = a === null || b === null ? null : of.f(a, b);
    if (value === null) continue;
    timesMs[count] = gridMs[i] as number;
    values[count] = value;
    count += 1;
  }
  return { timesMs: timesMs.subarray(0, count), values: values.subarray(0, count) };
}

/**
 * How fast one root-zone probe fell towards its air at each of its readings, K/h, told by the same trail as live.
 * @param of.airs the air probes of the place, °C
 * @param of.bandLowC low end of the root band at a time, °C; asked at times that only grow
 */
export function fallsOf(
  root: ProbeRecord,
  of: {
    readonly airs: readonly ProbeRecord[];
    readonly maxGapMs: number;
    readonly bandLowC: (tMs: number) => number;
  },
): ProbeRecord {
  const timesMs = new Float64Array(root.timesMs.length);
  const values = new Float64Array(root.timesMs.length);
  const airAt = freshReader(of.airs, of.maxGapMs);
  let trail: Trail = [];
  let count = 0;
  for (let i = 0; i < root.timesMs.length; i += 1) {
    const newest = { tMs: root.timesMs[i] as number, value: root.values[i] as number };
    trail = withStep(trail, newest);
    const fallKPerH = fallPerHour(trail, newest);
    if (fallKPerH === null) continue;
    const bandLowC = of.bandLowC(newest.tMs);
    const fall = fallTowardsAir({ fallKPerH, rootC: newest.value, bandLowC, air: airAt(newest.tMs) });
    if (fall === null) continue;
    timesMs[count] = newest.tMs;
    values[count] = fall;
    count += 1;
  }
  return { timesMs: timesMs.subarray(0, count), values: values.subarray(0, count) };
}

/** The newest values of probes that are not stale, at times that only grow. */
function freshReader(records: readonly ProbeRecord[], maxGapMs: number): (tMs: number) => Fresh {
  const next = records.map(() => 0);
  return (tMs) => {
    const values: number[] = [];
    let newestMs = 0;
    for (let probe = 0; probe < records.length; probe += 1) {
      const { timesMs, values: read } = records[probe] as ProbeRecord;
      let at = next[probe] as number;
      while (at < timesMs.length && (timesMs[at] as number) <= tMs) at += 1;
      next[probe] = at;
      const lastMs = timesMs[at - 1];
      if (lastMs === undefined || tMs - lastMs > maxGapMs) continue;
      values.push(read[at - 1] as number);
      newestMs = Math.max(newestMs, lastMs);
    }
    return values.length === 0 ? null : { tMs: newestMs, values };
  };
}
