import { MS_PER_HOUR, type ProbeRecord, type Window } from '../../../shared/exposure/series.ts';
import type { Finding } from '../../../shared/model/finding.ts';
import { binned, binsOf } from './bins.ts';
import { findingOf, type Look, type LookedAt, type Stretch } from './look.ts';

const DAY_MS = 24 * MS_PER_HOUR;
/** A root zone that moves so many times as far in a day as the air over it is none. Common practice, no source. */
const TIMES_AS_FAR = 2;
/** Less movement than this in a day tells nothing, K. Common practice, no source. */
const LEAST_RANGE_K = 4;
/** Where there is heat it is below: a true root zone is the warmer of the two in the mean, K. Common practice, no source. */
const COLDER_K = 0.5;
const LEAST_HOURS = 20;

type Day = { readonly range: number; readonly mean: number };

/**
 * Root and air probes that were mistaken for each other: over a day the medium, heavy and steered, moves less than the
 * air above it and is warmer in the mean. Both must be the wrong way round for a whole day.
 * @param look probes of one place over a window, without readings that are no measurement
 * @returns a finding for the root probe and one for the air probe; seen and other: their daily ranges, K
 * @example swappedProbes({ ...look, probes: [] }) // []
 */
export function swappedProbes(look: Look): Finding[] {
  const of = (quantity: string) => look.probes.filter((probe) => probe.quantity === quantity);
  const airs = of('air/temperature');
  return of('root/temperature').flatMap((root) =>
    airs.flatMap((air) => {
      const stretches = swappedDays(root, air, look);
      const told = (probe: LookedAt, other: LookedAt) =>
        findingOf(
          probe,
          stretches.map((day) => ({ ...day, facts: { ...day.facts, otherProbe: other.probe } })),
          { finding: 'swapped', fromMs: look.fromMs, standsMs: DAY_MS },
        );
      return [...told(root, air), ...told(air, root)];
    }),
  );
}

/** Days end at the window's end, so that the newest day is always a whole one. */
function swappedDays(root: LookedAt, air: LookedAt, { fromMs, toMs }: Look): Stretch[] {
  const days: Stretch[] = [];
  for (let endMs = toMs; endMs - DAY_MS >= fromMs - MS_PER_HOUR; endMs -= DAY_MS) {
    const day = { fromMs: Math.max(fromMs, endMs - DAY_MS), toMs: endMs };
    const [below, above] = [dayOf(root.record, day), dayOf(air.record, day)];
    if (!below || !above) continue;
    if (below.range < LEAST_RANGE_K || below.range < TIMES_AS_FAR * above.range) continue;
    if (below.mean > above.mean - COLDER_K) continue;
    days.unshift({ ...day, readings: 0, facts: { seen: below.range, other: above.range } });
  }
  return days;
}

/** Range and mean of a day's hourly medians; null where hours are missing. */
function dayOf(record: ProbeRecord, day: Window): Day | null {
  const hours = binned(record, binsOf(day, MS_PER_HOUR)).filter((value) => value !== null);
  if (hours.length < LEAST_HOURS) return null;
  const mean = hours.reduce((sum, value) => sum + value, 0) / hours.length;
  return { range: Math.max(...hours) - Math.min(...hours), mean };
}
