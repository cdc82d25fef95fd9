/** Values of one quantity at whole seconds, ascending; between two neighbours it runs straight. */
export type Track = { readonly timesMs: readonly number[]; readonly values: readonly number[] };

export type Limits = { readonly low: number; readonly high: number };

export type Dense = {
  readonly coveredHours: number;
  readonly hoursBelow: number;
  readonly hoursWithin: number;
  readonly hoursAbove: number;
  readonly unitHoursBelow: number;
  readonly unitHoursAbove: number;
  readonly min: number | null;
  readonly max: number | null;
  readonly mean: number | null;
  /** what taking each step at its middle may have cost, see `denseExposure` */
  readonly hoursTolerance: number;
  readonly unitHoursTolerance: number;
};

/** Nothing is covered between readings further apart. */
const MAX_GAP_MS = 15 * 60_000;
const STEP_MS = 1_000;
const HOUR_MS = 3_600_000;
/** Sums of up to 260,000 terms of up to 1e3, each rounded to 1e-16 of its size. */
const ROUNDING = 1e-8;

/**
 * Integrates in steps of 1 s, each taken at its middle: slow, plain, and nothing of it shared with the daemon.
 * Only a step in which the value crosses a limit is taken wrongly: its time by at most half a step, its
 * excess by at most an eighth of how far the value moves in it, times the step. Both are summed up as tolerances.
 *
 * @param track the readings; their times are whole seconds, so that no step holds one
 * @param window from and to, ms since epoch, to the ms
 * @param limitsAt the band in force at a time; it changes at whole seconds only
 * @returns hours and unit-hours against the band
 */
export function denseExposure(
  track: Track,
  window: { readonly fromMs: number; readonly toMs: number },
  limitsAt: (atMs: number) => Limits,
): Dense {
  const sums = { covered: 0, below: 0, above: 0, under: 0, over: 0, area: 0, crossedMs: 0, crossedUnits: 0 };
  const ends = { min: Number.POSITIVE_INFINITY, max: Number.NEGATIVE_INFINITY };
  for (const { fromMs, toMs, first, last } of steps(track, window)) {
    const stepMs = toMs - fromMs;
    const middle = (first + last) / 2;
    const { low, high } = limitsAt(fromMs + stepMs / 2);
    sums.covered += stepMs;
    sums.area += middle * stepMs;
    if (middle < low) sums.below += stepMs;
    if (middle > high) sums.above += stepMs;
    sums.under += Math.max(0, low - middle) * stepMs;
    sums.over += Math.max(0, middle - high) * stepMs;
    const crossings = [low, high].filter((limit) => (first - limit) * (last - limit) < 0).length;
    sums.crossedMs += (crossings * stepMs) / 2;
    sums.crossedUnits += (crossings * Math.abs(last - first) * stepMs) / 8;
    ends.min = Math.min(ends.min, first, last);
    ends.max = Math.max(ends.max, first, last);
  }
  const some = sums.covered > 0;
  return {
    coveredHours: sums.covered / HOUR_MS,
    hoursBelow: sums.below / HOUR_MS,
    hoursWithin: (sums.covered - sums.below - sums.above) / HOUR_MS,
    hoursAbove: sums.above / HOUR_MS,
    unitHoursBelow: sums.under / HOUR_MS,
    unitHoursAbove: sums.over / HOUR_MS,
    min: some ? ends.min : null,
    max: some ? ends.max : null,
    mean: some ? sums.area / sums.covered : null,
    hoursTolerance: sums.crossedMs / HOUR_MS + ROUNDING,
    unitHoursTolerance: sums.crossedUnits / HOUR_MS + ROUNDING,
  };
}

type Step = {
  readonly fromMs: number;
  readonly toMs: number;
  readonly first: number;
  readonly last: number;
};

function* steps({ timesMs, values }: Track, window: { fromMs: number; toMs: number }): Generator<Step> {
  for (let k = 0; k + 1 < timesMs.length; k += 1) {
    const [startMs, endMs] = [timesMs[k] ?? 0, timesMs[k + 1] ?? 0];
    const [start, end] = [values[k] ?? 0, values[k + 1] ?? 0];
    if (endMs - startMs > MAX_GAP_MS) continue;
    const valueAt = (atMs: number) => start + ((end - start) * (atMs - startMs)) / (endMs - startMs);
    for (let secondMs = startMs; secondMs < endMs; secondMs += STEP_MS) {
      const fromMs = Math.max(secondMs, window.fromMs);
      const toMs = Math.min(secondMs + STEP_MS, window.toMs);
      if (fromMs < toMs) yield { fromMs, toMs, first: valueAt(fromMs), last: valueAt(toMs) };
    }
  }
}
