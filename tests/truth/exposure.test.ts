import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { segmentsOf } from '../../shared/exposure/coverage.ts';
import { bandExposure } from '../../shared/exposure/integrate.ts';
import { probeRecord, type Segments } from '../../shared/exposure/series.ts';
import table from './exposure-values.json' with { type: 'json' };

const HOUR_MS = 3_600_000;
const BASE_MS = Date.UTC(2026, 2, 1);

const Row = z.object({
  id: z.string(),
  expected: z.number(),
  unit: z.string(),
  tolerance: z.number().positive(),
  toleranceReason: z.string().min(1),
  source: z.string().min(1),
  inputs: z.object({
    time_h: z.array(z.number()).optional(),
    temp_c: z.array(z.number()).optional(),
    lower_limit_c: z.number().optional(),
    upper_limit_c: z.number().optional(),
    max_gap_h: z.number().optional(),
    temp_hourly_c: z.array(z.number()).optional(),
    time_zone: z.string().optional(),
    local_date: z.string().optional(),
    excess_k: z.number().optional(),
    t_min_c: z.number().optional(),
    t_max_c: z.number().optional(),
    lower_threshold_c: z.number().optional(),
  }),
});
const rows = z.array(Row).parse(table);
type Inputs = z.infer<typeof Row>['inputs'];

function given<T>(value: T | undefined): T {
  if (value === undefined) throw new Error('the row lacks an input this check needs');
  return value;
}

function rowsNamed(pattern: RegExp) {
  return rows.filter((row) => pattern.test(row.id));
}

function checked(actual: number, row: { expected: number; tolerance: number }) {
  expect(Math.abs(actual - row.expected)).toBeLessThanOrEqual(row.tolerance);
}

function straightPieces(timesH: readonly number[], temperaturesC: readonly number[]): Segments {
  return {
    count: timesH.length - 1,
    startMs: Float64Array.from(timesH.slice(0, -1), (hour) => BASE_MS + hour * HOUR_MS),
    endMs: Float64Array.from(timesH.slice(1), (hour) => BASE_MS + hour * HOUR_MS),
    startValue: Float64Array.from(temperaturesC.slice(0, -1)),
    endValue: Float64Array.from(temperaturesC.slice(1)),
  };
}

function exposureOf(segments: Segments, limits: { low?: number | undefined; high?: number | undefined }) {
  const window = { fromMs: segments.startMs[0] ?? 0, toMs: segments.endMs[segments.count - 1] ?? 0 };
  return bandExposure(segments, [{ ...window, low: limits.low ?? null, high: limits.high ?? null }], window);
}

function outsideOrInside(inputs: Inputs, unit: string): number {
  const limits = { low: inputs.lower_limit_c, high: inputs.upper_limit_c };
  const exposure = exposureOf(straightPieces(given(inputs.time_h), given(inputs.temp_c)), limits);
  if (limits.low !== undefined && limits.high !== undefined) return exposure.hoursWithin;
  if (limits.low !== undefined) return unit === 'h' ? exposure.hoursBelow : exposure.unitHoursBelow;
  return unit === 'h' ? exposure.hoursAbove : exposure.unitHoursAbove;
}

describe('published and hand-derived degree-hours', () => {
  test('all 25 rows of the table are met by one of the checks below', () => {
    expect(rows).toHaveLength(25);
    expect(rowsNamed(/^(dh\d-(?!gap-coverage|dst)|dh-triangle)/)).toHaveLength(18);
  });

  test.each(rowsNamed(/^(dh\d-(?!gap-coverage|dst)|dh-triangle)/))('$id gives $expected $unit', (row) => {
    checked(outsideOrInside(row.inputs, row.unit), row);
  });

  test.each(rowsNamed(/^dh4-gap-coverage$/))('$id: 2 of 6 h are covered when 1.5 h are joined', (row) => {
    const timesMs = given(row.inputs.time_h).map((hour) => BASE_MS + hour * HOUR_MS);
    const record = probeRecord({ timesMs, values: timesMs.map(() => 26) });
    const segments = segmentsOf(record, { maxGapMs: given(row.inputs.max_gap_h) * HOUR_MS });
    checked(exposureOf(segments, {}).coveredHours / 6, row);
  });

  // Whoever knows time zones turns a local day into instants; here they are written out with their offsets.
  const localDays: Record<string, readonly [string, string]> = {
    'dh5-dst-london-2026-03-29': ['2026-03-29T00:00+00:00', '2026-03-30T00:00+01:00'],
    'dh5-dst-london-2026-10-25': ['2026-10-25T00:00+01:00', '2026-10-26T00:00+00:00'],
    'dh5-dst-new_york-2026-03-08': ['2026-03-08T00:00-05:00', '2026-03-09T00:00-04:00'],
    'dh5-dst-london-2026-06-21': ['2026-06-21T00:00+01:00', '2026-06-22T00:00+01:00'],
  };
  test.each(rowsNamed(/^dh5-dst/))('$id gives $expected $unit', (row) => {
    const [from, to] = given(localDays[row.id]);
    const window = { fromMs: Date.parse(from), toMs: Date.parse(to) };
    const aDayAround = [window.fromMs - 5 * 60_000, window.toMs + 5 * 60_000];
    const record = probeRecord({ timesMs: aDayAround, values: aDayAround.map(() => 25) });
    const segments = segmentsOf(record, { maxGapMs: 48 * HOUR_MS });
    const high = 25 - given(row.inputs.excess_k);
    checked(bandExposure(segments, [{ ...window, low: null, high }], window).unitHoursAbove, row);
  });

  test.each(rowsNamed(/^dd-triangle/))('$id gives $expected $unit', (row) => {
    const least = given(row.inputs.t_min_c);
    const segments = straightPieces([0, 12, 24], [least, given(row.inputs.t_max_c), least]);
    checked(exposureOf(segments, { high: row.inputs.lower_threshold_c }).unitHoursAbove / 24, row);
  });

  test.each(rowsNamed(/^en15251/))('$id: hourly means as steps give $expected $unit', (row) => {
    const means = given(row.inputs.temp_hourly_c);
    const timesH = means.flatMap((_, hour) => [hour, hour + 1]);
    const steps = straightPieces(
      timesH,
      means.flatMap((mean) => [mean, mean]),
    );
    checked(exposureOf(steps, { high: row.inputs.upper_limit_c }).unitHoursAbove, row);
  });
});
