import { medianOf } from '../../../../shared/exposure/sample.ts';
import type { Finding, FindingFacts } from '../../../../shared/model/probes/finding.ts';

const DAY_MS = 86_400_000;
/** Changes of the difference of two probes that count, K and %RH: what makers allow a chip in a year and more [SENSOR-SHEETS], come in weeks. Common practice, no source. */
const LIMITS: Readonly<Record<string, number>> = {
  'air/temperature': 1,
  'root/temperature': 1,
  'leaf/temperature': 1.5,
  'wall/temperature': 1.5,
  'outside/temperature': 1.5,
  'air/humidity': 5,
};
/** Days with both probes that it takes to distinguish a drift from weather. Common practice, no source. */
const LEAST_DAYS = 14;
const ENDS_DAYS = 3;
/** The days must lie this near to the line through them, in parts of the limit: a step or a season is no drift. */
const SCATTER = 1 / 3;
/** Share of the change that the slope through all days must show. */
const STEADY = 0.7;

/** A probe's mean of each day of a check, in its unit; null for a day of which less than half was covered. */
export type DailyMeans = {
  readonly probeId: number;
  readonly probe: string;
  readonly quantity: string;
  readonly means: readonly (number | null)[];
};

/**
 * Probes that move slowly away from their neighbour at the same position over weeks. Against one neighbour both are
 * named, as nobody can say which; against several the one that moves against the median of the others.
 * @param probes of one place, their daily means over the same days
 * @param firstMs start of the first day, ms since epoch
 * @returns one finding a probe; seen: change of the difference, K or %RH; other: days
 * @example drifts([], 0) // []
 */
export function drifts(probes: readonly DailyMeans[], firstMs: number): Finding[] {
  return Object.entries(LIMITS).flatMap(([quantity, limit]) => {
    const all = probes.filter((probe) => probe.quantity === quantity);
    if (all.length < 2) return [];
    const found = all.flatMap((one) => {
      const others = all.filter((other) => other !== one);
      const apart = one.means.map((mean, day) => {
        const otherValues = others.map(({ means }) => means[day] ?? null).filter((value) => value !== null);
        const middle = otherValues.length === others.length ? medianOf(otherValues) : null;
        return mean === null || middle === null ? null : mean - middle;
      });
      const change = changeOf(apart, limit);
      return change
        ? [{ one, change, otherProbe: others.length === 1 ? (others[0]?.probe ?? null) : null }]
        : [];
    });
    // of three or more, one that drifts pulls the medians of the others after it by less
    const most = Math.max(0, ...found.map(({ change }) => Math.abs(change.seen)));
    const named = all.length === 2 ? found : found.filter(({ change }) => Math.abs(change.seen) === most);
    return named.map(({ one, change, otherProbe }) => ({
      probeId: one.probeId,
      probe: one.probe,
      quantity,
      finding: 'drift' as const,
      sinceMs: firstMs + change.first * DAY_MS,
      untilMs: null,
      orEarlier: true,
      readings: 0,
      spans: [],
      facts: { seen: change.seen, limit, other: change.days, otherProbe } satisfies FindingFacts,
    }));
  });
}

type Change = { readonly seen: number; readonly days: number; readonly first: number };
type Point = { readonly day: number; readonly value: number };

function changeOf(apart: readonly (number | null)[], limit: number): Change | null {
  const points = apart.flatMap((value, day): Point[] => (value === null ? [] : [{ day, value }]));
  const [first, last] = [points[0], points.at(-1)];
  if (!first || !last || points.length < LEAST_DAYS) return null;
  const middle = (some: readonly Point[]) => medianOf(some.map(({ value }) => value)) as number;
  const seen = middle(points.slice(-ENDS_DAYS)) - middle(points.slice(0, ENDS_DAYS));
  if (Math.abs(seen) < limit) return null;
  const slope = slopeOf(points);
  if (slope * (last.day - first.day) * Math.sign(seen) < STEADY * limit) return null;
  const level = medianOf(points.map(({ day, value }) => value - slope * day)) as number;
  const scatter = medianOf(points.map(({ day, value }) => Math.abs(value - slope * day - level))) as number;
  return scatter > SCATTER * limit ? null : { seen, days: last.day - first.day + 1, first: first.day };
}

/** The median of the slopes between all pairs of days: single odd days do not move it. */
function slopeOf(points: readonly Point[]): number {
  const slopes = points.flatMap((a, i) =>
    points.slice(i + 1).map((b) => (b.value - a.value) / (b.day - a.day)),
  );
  return medianOf(slopes) ?? 0;
}
