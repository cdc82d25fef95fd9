import { HORIZONS } from './fit.ts';

/** Errors are gathered by the time of day, in eight parts of three hours, each with the part before and after it. */
const PARTS = 8;
const PART_MS = 10_800_000;
/** With fewer errors about an hour of the day those of all hours count. */
const LEAST_ERRORS = 30;
/** Shares of errors below and above an interval of 80 %. */
const LOW = 0.1;
const HIGH = 0.9;

/** Errors of forecasts that were scored, by horizon. */
export type Errors = {
  readonly byHorizon: readonly { readonly part: number; readonly error: number }[][];
  add(horizon: number, of: { readonly atMs: number; readonly error: number }): void;
};

/** Where 10 and 90 % of the errors lie, K, by part of the day and horizon. */
export type Spread = { readonly low: Float64Array; readonly high: Float64Array };

export function noErrors(): Errors {
  const byHorizon: { part: number; error: number }[][] = HORIZONS.map(() => []);
  return {
    byHorizon,
    add: (horizon, { atMs, error }) => void byHorizon[horizon]?.push({ part: partOf(atMs), error }),
  };
}

/**
 * How far forecasts were off, by part of the day and horizon.
 * @param errors value minus forecast, K
 * @returns the bounds of 80 % of them; the forecast itself always lies between
 * @example spreadOf(noErrors()).low[0] // 0
 */
export function spreadOf({ byHorizon }: Errors): Spread {
  const low = new Float64Array(PARTS * HORIZONS.length);
  const high = new Float64Array(PARTS * HORIZONS.length);
  for (const [c, errors] of byHorizon.entries())
    for (let part = 0; part < PARTS; part++) {
      const near = errors.filter((one) => isBeside(one.part, part));
      const sorted = Float64Array.from(
        near.length < LEAST_ERRORS ? errors : near,
        ({ error }) => error,
      ).sort();
      low[part * HORIZONS.length + c] = Math.min(0, quantile(sorted, LOW));
      high[part * HORIZONS.length + c] = Math.max(0, quantile(sorted, HIGH));
    }
  return { low, high };
}

/** Place of a moment in the bounds of a spread. */
export function spreadIndex(atMs: number): number {
  return partOf(atMs) * HORIZONS.length;
}

function partOf(atMs: number): number {
  return Math.floor(atMs / PART_MS) % PARTS;
}

function isBeside(part: number, other: number): boolean {
  const apart = Math.abs(part - other);
  return Math.min(apart, PARTS - apart) <= 1;
}

/** The value below which a share of sorted values lies, interpolated; 0 of none. */
export function quantile(sorted: Float64Array, share: number): number {
  if (sorted.length === 0) return 0;
  const place = share * (sorted.length - 1);
  const below = Math.floor(place);
  const from = sorted[below] as number;
  return from + ((sorted[below + 1] ?? from) - from) * (place - below);
}
