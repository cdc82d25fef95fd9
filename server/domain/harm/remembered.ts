import type { Window } from '../../../shared/exposure/series.ts';
import { WATCH_FROM } from '../../../shared/harm/place-state.ts';
import type { Excursion } from './excursions.ts';

const DAY_MS = 86_400_000;

/** What was beyond its limit at a place, and when nothing was read. */
export type Seen = { readonly excursions: readonly Excursion[]; readonly gaps: readonly Window[] };

type Memory = {
  /** what the last 24 h did, looked up from `dayFromMs` on, ms since epoch */
  readonly day: Seen;
  readonly dayFromMs: number;
  /** what was looked up over a longer span; null where the last 24 h are all that is remembered */
  readonly longer: Seen | null;
  /** what ended before is not remembered, ms since epoch */
  readonly fromMs: number;
};

/**
 * What is remembered of a place: what ended since `fromMs`; of what is older than 24 h that only which was enough to keep
 * an eye on the place within 24 h. A stretch that reaches back beyond 24 h is whole.
 */
export function rememberedOf({ day, dayFromMs, longer, fromMs }: Memory): Seen {
  const isHeld = ({ toMs }: Window) => toMs > fromMs;
  if (longer === null) return { excursions: day.excursions.filter(isHeld), gaps: day.gaps.filter(isHeld) };
  const before = longer.excursions.filter((one) => one.fromMs < dayFromMs && isHeld(one));
  const isCut = (one: Excursion) =>
    before.some(({ kind, toMs }) => kind === one.kind && one.fromMs <= dayFromMs && toMs > one.fromMs);
  const counted = togetherWorth(longer.excursions);
  const gapsBefore = longer.gaps.filter((gap) => gap.fromMs < dayFromMs && isHeld(gap));
  return {
    excursions: [
      ...before.filter((one) => counted.has(one) || one.toMs > dayFromMs),
      ...day.excursions.filter((one) => isHeld(one) && !isCut(one)),
    ],
    gaps: [...gapsBefore, ...day.gaps.filter((gap) => isHeld(gap) && gap.fromMs >= dayFromMs)],
  };
}

/** Whether what was looked up over a longer span goes on since, so that it is to be looked up again. */
export function goesOnBefore({ excursions }: Seen, dayFromMs: number): boolean {
  return excursions.some(({ fromMs, goesOn }) => goesOn && fromMs < dayFromMs);
}

/** Whether what is remembered is enough to keep an eye on a place. */
export function isWorthWatching({ excursions, gaps }: Seen): boolean {
  return gaps.length > 0 || excursions.reduce((sum, { harm }) => sum + harm, 0) >= WATCH_FROM;
}

/** What together with all that ended within the same 24 h was enough to keep an eye on a place. */
function togetherWorth(excursions: readonly Excursion[]): ReadonlySet<Excursion> {
  const byEnd = [...excursions].sort((a, b) => a.toMs - b.toMs);
  const found = new Set<Excursion>();
  let [first, sum] = [0, 0];
  for (const [last, one] of byEnd.entries()) {
    sum += one.harm;
    for (; one.toMs - (byEnd[first] as Excursion).toMs >= DAY_MS; first += 1)
      sum -= (byEnd[first] as Excursion).harm;
    if (sum >= WATCH_FROM) for (const held of byEnd.slice(first, last + 1)) found.add(held);
  }
  return found;
}
