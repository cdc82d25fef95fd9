import { medianOf } from '../../../../shared/exposure/sample.ts';
import { MS_PER_HOUR } from '../../../../shared/exposure/series.ts';
import type { Finding } from '../../../../shared/model/probes/finding.ts';
import { type Bins, binned, binsOf, minus } from '../bins.ts';
import { type CheckedProbe, type CheckScope, findingOf, type Stretch } from '../check-scope.ts';

/**
 * Differences of hourly medians that count, K and %RH: several times what two sound chips may differ by
 * [SENSOR-SHEETS], and more than the two ends of a bench do. Common practice, no source.
 */
const LIMITS: Readonly<Record<string, number>> = {
  'air/temperature': 3,
  'root/temperature': 4,
  'leaf/temperature': 4,
  'wall/temperature': 4,
  'outside/temperature': 4,
  'air/humidity': 15,
};
/** Hours in a row that count. Common practice, no source. */
const HOURS = 6;

type Hourly = { readonly probe: CheckedProbe; readonly medians: readonly (number | null)[] };

/**
 * Probes that disagree with their neighbours at the same position of the place for hours. Of three or more
 * the odd one out is named, held against the median of the others where those agree; of two, both are.
 * @param scope probes of one place over a window, without readings that are no measurement
 * @returns one finding a probe; seen: largest difference, K or %RH; other: hours it lasted
 * @example disagreements({ ...look, probes: [] }) // []
 */
export function disagreements(scope: CheckScope): Finding[] {
  const bins = binsOf(scope, MS_PER_HOUR);
  return Object.entries(LIMITS).flatMap(([quantity, limit]) => {
    const all = scope.probes
      .filter((probe) => probe.quantity === quantity)
      .map((probe): Hourly => ({ probe, medians: binned(probe.record, bins) }));
    if (all.length < 2) return [];
    return all.flatMap((one) => {
      const others = all.filter((other) => other !== one);
      const apart = minus(one.medians, agreed(others, limit));
      const stretches = farRuns(apart, { bins, limit }).map((run) => ({
        ...run,
        facts: { ...run.facts, otherProbe: others.length === 1 ? (others[0] as Hourly).probe.probe : null },
      }));
      return findingOf(one.probe, stretches, {
        finding: 'disagreement',
        fromMs: scope.fromMs,
        activeMs: MS_PER_HOUR,
      });
    });
  });
}

/** The median of several probes where they agree, hour by hour. */
function agreed(others: readonly Hourly[], limit: number): (number | null)[] {
  const hours = others[0]?.medians.length ?? 0;
  return Array.from({ length: hours }, (_, hour) => {
    const otherValues = others.map(({ medians }) => medians[hour] ?? null).filter((value) => value !== null);
    if (otherValues.length < others.length || Math.max(...otherValues) - Math.min(...otherValues) > limit)
      return null;
    return medianOf(otherValues);
  });
}

function farRuns(
  apart: readonly (number | null)[],
  { bins, limit }: { readonly bins: Bins; readonly limit: number },
): Stretch[] {
  const runs: Stretch[] = [];
  let first = 0;
  for (let hour = 0; hour <= apart.length; hour++) {
    const difference = apart[hour] ?? null;
    if (difference !== null && Math.abs(difference) > limit) continue;
    if (hour - first >= HOURS) {
      const far = apart.slice(first, hour).map((value) => value ?? 0);
      const seen = far.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a));
      runs.push({
        fromMs: bins.startMs + first * bins.binMs,
        toMs: bins.startMs + hour * bins.binMs,
        readings: 0,
        facts: { seen, limit, other: far.length },
      });
    }
    first = hour + 1;
  }
  return runs;
}
