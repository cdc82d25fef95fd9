import { MS_PER_HOUR, type Window } from '../../../shared/exposure/series.ts';
import { type ExcursionFacts, type PlaceExcursion, placeExcursions } from './excursions.ts';

/** An hour in which something beyond its limit did harm. */
export type HarmedHour = Window & {
  readonly harm: number;
  /** what was beyond its limit, cut to the hour, most harm first */
  readonly excursions: readonly PlaceExcursion[];
};

/** Less of it in an hour is nothing worth a line. PROPOSAL. */
const WORTH_A_LINE = 0.001;

/**
 * The full hours of a window in which something beyond its limit did harm, by the very excursions of the night, each hour
 * on its own: an excursion that lasts longer is cut where the hour ends.
 * @param excursions those of the whole window
 * @param facts what they were read from
 * @returns most harm first
 */
export function harmedHours(excursions: readonly PlaceExcursion[], facts: ExcursionFacts): HarmedHour[] {
  const starts = new Set(excursions.filter(({ harm }) => (harm ?? 0) > 0).flatMap(hoursOf));
  return [...starts]
    .map((startMs): HarmedHour => {
      const window = {
        fromMs: Math.max(startMs, facts.window.fromMs),
        toMs: Math.min(startMs + MS_PER_HOUR, facts.window.toMs),
      };
      const within = placeExcursions({ ...facts, window, dryGaps: [] }).filter(({ harm }) => (harm ?? 0) > 0);
      const harm = within.reduce((sum, one) => sum + (one.harm ?? 0), 0);
      return { ...window, harm, excursions: within.sort((a, b) => (b.harm ?? 0) - (a.harm ?? 0)) };
    })
    .filter(({ harm }) => harm >= WORTH_A_LINE)
    .sort((a, b) => b.harm - a.harm);
}

function hoursOf({ fromMs, toMs }: Window): number[] {
  const starts: number[] = [];
  for (let tMs = Math.floor(fromMs / MS_PER_HOUR) * MS_PER_HOUR; tMs < toMs; tMs += MS_PER_HOUR)
    starts.push(tMs);
  return starts;
}
