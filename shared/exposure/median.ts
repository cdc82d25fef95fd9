import { assembleCurve, type Bend } from './assemble.ts';
import { checkMaxGap, segmentsOf } from './coverage.ts';
import { joinedMedian, joinedValues, medianAt, medianOf, sampleOnGrid } from './sample.ts';
import { type Curve, mergedTimesMs, type ProbeRecord } from './series.ts';

/**
 * What one position did: at each moment the median of the probes covered then.
 * Exact between readings too: with three probes or more the course bends where two of them cross. It may jump
 * where the coverage of a probe starts or ends.
 * @param records the probes of one position, in any order, one unit
 * @param options.maxGapMs longest time between joined readings, ms, > 0
 * @returns the curve in the unit of the records; its knots are the times at which any probe was read
 * @throws RangeError when maxGapMs is not above 0
 * @example medianCurve([left, middle, right], { maxGapMs: DEFAULT_MAX_GAP_MS })
 */
export function medianCurve(records: readonly ProbeRecord[], options: { maxGapMs: number }): Curve {
  checkMaxGap(options.maxGapMs);
  const [only] = records;
  if (only !== undefined && records.length === 1) return curveOfOne(only, options);
  const gridMs = mergedTimesMs(records);
  const samples = records.map((record) => sampleOnGrid(record, { gridMs, ...options }));
  return assembleCurve(gridMs, {
    at: (index) => medianAt(samples, index),
    startOf: (index) => joinedMedian(samples, { index, end: 0 }),
    endOf: (index) => joinedMedian(samples, { index, end: 1 }),
    bendsOf: (index) =>
      bendsWhereProbesCross({
        startMs: gridMs[index] as number,
        endMs: gridMs[index + 1] as number,
        startValues: joinedValues(samples, { index, end: 0 }),
        endValues: joinedValues(samples, { index, end: 1 }),
      }),
  });
}

function curveOfOne(record: ProbeRecord, options: { maxGapMs: number }): Curve {
  const { timesMs, values } = record;
  const joined = new Uint8Array(timesMs.length);
  for (let i = 0; i + 1 < timesMs.length; i++) {
    joined[i] = (timesMs[i + 1] as number) - (timesMs[i] as number) <= options.maxGapMs ? 1 : 0;
  }
  return { segments: segmentsOf(record, options), knots: { count: timesMs.length, timesMs, values, joined } };
}

type Bundle = { startMs: number; endMs: number; startValues: number[]; endValues: number[] };

function bendsWhereProbesCross({ startMs, endMs, startValues, endValues }: Bundle): Bend[] {
  // The mean of two straight lines is straight: they may cross without a bend.
  if (startValues.length < 3) return [];
  const bends: Bend[] = [];
  let lastMs = startMs;
  for (const share of crossingShares(startValues, endValues)) {
    const tMs = startMs + (endMs - startMs) * share;
    const value = medianOf(
      startValues.map((from, probe) => from + ((endValues[probe] ?? from) - from) * share),
    );
    if (value === null || tMs <= lastMs || tMs >= endMs) continue;
    bends.push({ tMs, value });
    lastMs = tMs;
  }
  return bends;
}

function crossingShares(startValues: readonly number[], endValues: readonly number[]): number[] {
  const shares: number[] = [];
  for (let one = 0; one < startValues.length; one++) {
    for (let other = 0; other < one; other++) {
      const apartAtStart = (startValues[one] as number) - (startValues[other] as number);
      const apartAtEnd = (endValues[one] as number) - (endValues[other] as number);
      if (Math.sign(apartAtStart) * Math.sign(apartAtEnd) < 0) {
        shares.push(apartAtStart / (apartAtStart - apartAtEnd));
      }
    }
  }
  return shares.sort((a, b) => a - b);
}
