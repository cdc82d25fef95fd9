import { MS_PER_HOUR, type ProbeRecord, type Window } from '../../../../shared/exposure/series.ts';
import type { Finding } from '../../../../shared/model/probes/finding.ts';
import { binned } from '../bins.ts';
import { type CheckedProbe, type CheckScope, findingOf, type Stretch } from '../check-scope.ts';

const DAY_MS = 24 * MS_PER_HOUR;
/** A root zone that moves so many times as far in a day as the air over it is none. Common practice, no source. */
const TIMES_AS_FAR = 2;
/** Less movement than this in a day shows nothing, K. Common practice, no source. */
const LEAST_RANGE_K = 4;
/** Where there is heat it is below: a true root zone is the warmer of the two in the mean, K. Common practice, no source. */
const COLDER_K = 0.5;
const LEAST_HOURS = 20;

type Day = { readonly range: number; readonly mean: number };

/**
 * Root and air probes that were mistaken for each other: over a day the medium, heavy and steered, moves less than the
 * air above it and is warmer in the mean. Both must be the wrong way round for a whole day.
 * @param scope probes of one place over a window, without readings that are no measurement
 * @returns a finding for the root probe and one for the air probe; seen and other: their daily ranges, K
 * @example swappedProbes({ ...look, probes: [] }) // []
 */
export function swappedProbes(scope: CheckScope): Finding[] {
  const days = daysOf(scope);
  const of = (quantity: string) =>
    scope.probes
      .filter((probe) => probe.quantity === quantity)
      .map((probe): Daily => ({ probe, days: summed(probe.record, days) }));
  const airs = of('air/temperature');
  return of('root/temperature').flatMap((root) =>
    airs.flatMap((air) => {
      const stretches = swappedDays(days, { root, air });
      const findingBetween = (one: Daily, other: Daily) =>
        findingOf(
          one.probe,
          stretches.map((day) => ({ ...day, facts: { ...day.facts, otherProbe: other.probe.probe } })),
          { finding: 'swapped', fromMs: scope.fromMs, activeMs: DAY_MS },
        );
      return [...findingBetween(root, air), ...findingBetween(air, root)];
    }),
  );
}

type Daily = { readonly probe: CheckedProbe; readonly days: readonly (Day | null)[] };

/** Days end at the window's end, so that the newest day is always a whole one; ascending. */
function daysOf({ fromMs, toMs }: CheckScope): Window[] {
  const days: Window[] = [];
  for (let endMs = toMs; endMs - DAY_MS >= fromMs - MS_PER_HOUR; endMs -= DAY_MS)
    days.unshift({ fromMs: Math.max(fromMs, endMs - DAY_MS), toMs: endMs });
  return days;
}

function swappedDays(days: readonly Window[], { root, air }: { root: Daily; air: Daily }): Stretch[] {
  return days.flatMap((day, i): Stretch[] => {
    const [below, above] = [root.days[i] ?? null, air.days[i] ?? null];
    if (!below || !above) return [];
    if (below.range < LEAST_RANGE_K || below.range < TIMES_AS_FAR * above.range) return [];
    if (below.mean > above.mean - COLDER_K) return [];
    return [{ ...day, readings: 0, facts: { seen: below.range, other: above.range } }];
  });
}

/** Range and mean of each day's hourly medians; null where hours are missing. */
function summed(record: ProbeRecord, days: readonly Window[]): (Day | null)[] {
  const first = days[0];
  if (!first) return [];
  const count = Math.ceil(((days.at(-1)?.toMs ?? 0) - first.fromMs) / MS_PER_HOUR);
  const medians = binned(record, { startMs: first.fromMs, binMs: MS_PER_HOUR, count });
  return days.map((day) => {
    const at = (ms: number) => Math.round((ms - first.fromMs) / MS_PER_HOUR);
    const hours = medians.slice(at(day.fromMs), at(day.toMs)).filter((value) => value !== null);
    if (hours.length < LEAST_HOURS) return null;
    const mean = hours.reduce((sum, value) => sum + value, 0) / hours.length;
    return { range: Math.max(...hours) - Math.min(...hours), mean };
  });
}
