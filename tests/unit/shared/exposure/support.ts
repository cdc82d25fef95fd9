import { type ProbeRecord, probeRecord, type Segments } from '../../../../shared/exposure/series.ts';

export const MINUTE_MS = 60_000;
export const HOUR_MS = 3_600_000;
/** An ordinary moment, so that sums run at the size of real times: 2026-03-01T00:00Z. */
export const BASE_MS = Date.UTC(2026, 2, 1);

/** A record from [minutes after BASE_MS, value] pairs. */
export function recordOf(...readings: readonly (readonly [number, number])[]): ProbeRecord {
  return probeRecord({
    timesMs: readings.map(([minutes]) => BASE_MS + minutes * MINUTE_MS),
    values: readings.map(([, value]) => value),
  });
}

/** Segments from [start hour, start value, end hour, end value] after BASE_MS. */
export function segmentsFrom(...pieces: readonly (readonly [number, number, number, number])[]): Segments {
  return {
    count: pieces.length,
    startMs: Float64Array.from(pieces, ([start]) => BASE_MS + start * HOUR_MS),
    startValue: Float64Array.from(pieces, ([, value]) => value),
    endMs: Float64Array.from(pieces, ([, , end]) => BASE_MS + end * HOUR_MS),
    endValue: Float64Array.from(pieces, ([, , , value]) => value),
  };
}

/** The same segments as [start minute, start value, end minute, end value] after BASE_MS. */
export function inMinutes(segments: Segments): number[][] {
  const minutes = (timeMs: number | undefined) => ((timeMs ?? Number.NaN) - BASE_MS) / MINUTE_MS;
  return Array.from({ length: segments.count }, (_, i) => [
    minutes(segments.startMs[i]),
    segments.startValue[i] ?? Number.NaN,
    minutes(segments.endMs[i]),
    segments.endValue[i] ?? Number.NaN,
  ]);
}

/** A window in hours after BASE_MS. */
export function hours(from: number, to: number) {
  return { fromMs: BASE_MS + from * HOUR_MS, toMs: BASE_MS + to * HOUR_MS };
}
