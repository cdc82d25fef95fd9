import type { Curve } from '../../../shared/exposure/series.ts';
import { type ChartPoint, chartPoints } from '../../../shared/exposure/series-points.ts';
import type { Trace } from '../../../shared/wire/http.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;

/** A card shows how it has been for a day, and says to some minutes since when it is as it is: the end is finer. */
const STRETCHES = [
  { fromMs: 0, toMs: DAY_MS - 180 * MINUTE_MS, everyMs: 15 * MINUTE_MS },
  { fromMs: DAY_MS - 180 * MINUTE_MS, toMs: DAY_MS, everyMs: 5 * MINUTE_MS },
] as const;

/** The middles of the points of a card's trace, ms after its start. */
export const CARD_TIMES_MS: readonly number[] = STRETCHES.flatMap(({ fromMs, toMs, everyMs }) =>
  Array.from({ length: (toMs - fromMs) / everyMs }, (_, k) => fromMs + (k + 0.5) * everyMs),
);

/**
 * A day of a curve as a card draws it: means weighted by time with the true extremes, in whole steps of the last decimal.
 * @param curve what is drawn, in its unit
 * @param day.fromMs its start, ms since epoch
 * @param day.decimals of the unit, 0 or more
 * @param day.isSuspect whether a finding covers a moment, ms since epoch
 * @returns the values and how far the extremes lie from them, one of each for each of `CARD_TIMES_MS`
 * @example cardTrace(airCurve, { fromMs: nowMs - 86_400_000, decimals: 2, isSuspect: () => false })
 */
export function cardTrace(
  curve: Curve,
  day: {
    readonly fromMs: number;
    readonly decimals: number;
    readonly isSuspect: (atMs: number) => boolean;
  },
): Trace {
  const { fromMs, decimals, isSuspect } = day;
  const points = pointsOf(curve, fromMs);
  const inSteps = (value: number) => Math.round(value * 10 ** decimals);
  const trace = { decimals, values: [], below: [], above: [] } as Steps;
  let last = 0;
  for (const point of points) {
    if (!point || point.value === null || point.min === null || point.max === null) {
      for (const list of [trace.values, trace.below, trace.above]) list.push(null);
      continue;
    }
    const value = inSteps(point.value);
    trace.values.push(value - last);
    trace.below.push(value - inSteps(point.min));
    trace.above.push(inSteps(point.max) - value);
    last = value;
  }
  const suspect = points.flatMap((point, i) =>
    point && point.value !== null && isSuspect(point.tMs) ? [i] : [],
  );
  return suspect.length === 0 ? trace : { ...trace, suspect };
}

type Steps = Trace & Record<'values' | 'below' | 'above', (number | null)[]>;

/** One point for each time; nulls in a row are given once by the chart, and here each. */
function pointsOf(curve: Curve, startMs: number): (ChartPoint | undefined)[] {
  const drawn = STRETCHES.flatMap(({ fromMs, toMs, everyMs }) =>
    chartPoints(curve, {
      fromMs: startMs + fromMs,
      toMs: startMs + toMs,
      points: (toMs - fromMs) / everyMs,
    }),
  );
  const byTime = new Map(drawn.map((point) => [point.tMs, point]));
  return CARD_TIMES_MS.map((afterMs) => byTime.get(startMs + afterMs));
}
