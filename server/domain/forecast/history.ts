import type { Segments } from '../../../shared/exposure/series.ts';

/** Time from value to value of a history, ms. */
export const STEP_MS = 600_000;
export const STEPS_A_DAY = 144;

/** What the forecast quantity follows: a temperature beside it, or light or humidity. */
type Driver = {
  /** a temperature is used by how far it is from the quantity itself, anything else as it is */
  readonly isTemperature: boolean;
  /** one value a step, in the unit of its quantity; NaN where it is not covered */
  readonly values: Float64Array;
};

/** A quantity and what it follows, every ten minutes; NaN inside where a moment is not covered. */
export type History = {
  /** time of the first value, ms since epoch */
  readonly startMs: number;
  readonly values: Float64Array;
  readonly drivers: readonly Driver[];
};

/**
 * A quantity every ten minutes, interpolated inside its covered stretches.
 * @param segments covered pieces of the quantity, in its unit
 * @param options.startMs time of the first value, ms since epoch
 * @param options.count how many values
 * @returns one value a step, NaN where nothing is covered
 * @example stepsOf({ count: 0, startMs: new Float64Array(), endMs: new Float64Array(), startValue: new Float64Array(), endValue: new Float64Array() }, { startMs: 0, count: 2 }) // NaN, NaN
 */
export function stepsOf(
  segments: Segments,
  { startMs, count }: { readonly startMs: number; readonly count: number },
): Float64Array {
  const values = new Float64Array(count).fill(Number.NaN);
  let piece = 0;
  for (let i = 0; i < count; i++) {
    const atMs = startMs + i * STEP_MS;
    while (piece < segments.count && (segments.endMs[piece] as number) < atMs) piece++;
    if (piece >= segments.count) break;
    values[i] = valueIn(segments, piece, atMs);
  }
  return values;
}

function valueIn(segments: Segments, piece: number, atMs: number): number {
  const fromMs = segments.startMs[piece] as number;
  const toMs = segments.endMs[piece] as number;
  if (atMs < fromMs) return Number.NaN;
  const [from, to] = [segments.startValue[piece] as number, segments.endValue[piece] as number];
  return toMs === fromMs ? from : from + ((to - from) * (atMs - fromMs)) / (toMs - fromMs);
}
