import type { ForecastPoint } from './forecast.ts';

/** When a forecast crosses a limit, ms since epoch; null where it does not within its two hours. */
type Crossing = {
  readonly reachedMs: number | null;
  readonly earliestMs: number | null;
  readonly latestMs: number | null;
};

type Start = { readonly tMs: number; readonly value: number };

/**
 * When a quantity is expected to reach a limit, by its forecast, and by the bounds of that.
 * @param points the forecast, in the order of time
 * @param options.start where it starts: the newest value, °C
 * @param options.limitAt the limit at a moment, °C; null where there is none then
 * @param options.sense whether above or below the limit is beyond it
 * @returns the exact crossings on the straight lines between points; all at the start where it is beyond already
 * @example crossingOf([], { start: { tMs: 0, value: 20 }, limitAt: () => 26, sense: 'above' }).reachedMs // null
 */
export function crossingOf(
  points: readonly ForecastPoint[],
  {
    start,
    limitAt,
    sense,
  }: {
    readonly start: Start;
    readonly limitAt: (tMs: number) => number | null;
    readonly sense: 'above' | 'below';
  },
): Crossing {
  const sign = sense === 'above' ? 1 : -1;
  const firstOf = (pathOf: (point: ForecastPoint) => number): number | null => {
    let before: { tMs: number; beyond: number } | null = null;
    const path = [start, ...points.map((point) => ({ tMs: point.tMs, value: pathOf(point) }))];
    for (const { tMs, value } of path) {
      const limit = limitAt(tMs);
      const beyond = limit === null ? null : sign * (value - limit);
      if (beyond !== null && beyond > 0) {
        if (before === null || before.beyond > 0) return tMs;
        return tMs - ((tMs - before.tMs) * beyond) / (beyond - before.beyond);
      }
      before = beyond === null ? null : { tMs, beyond };
    }
    return null;
  };
  const early = (point: ForecastPoint) => (sense === 'above' ? point.high80 : point.low80);
  const late = (point: ForecastPoint) => (sense === 'above' ? point.low80 : point.high80);
  return {
    reachedMs: firstOf(({ value }) => value),
    earliestMs: firstOf(early),
    latestMs: firstOf(late),
  };
}
