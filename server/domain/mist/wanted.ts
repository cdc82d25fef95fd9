import type { Window } from '../../../shared/exposure/series.ts';
import type { Targets } from '../../../shared/model/targets.ts';

const MINUTE_MS = 60_000;

/**
 * The time from one mist pulse to the next that the targets of a place want, by day or by night.
 * @param daysAndNights contiguous days and nights with the targets that held in them, ascending
 * @returns at a time, ms since epoch: ms; null where the targets want none. Before the first one it is as in the first,
 * behind the last as in the last
 * @example mistWanted([{ fromMs: 0, toMs: 9, night: false, targets }])(4) // 600000 of everyMinByDay: 10
 */
export function mistWanted(
  daysAndNights: readonly (Window & { readonly night: boolean; readonly targets: Targets })[],
): (atMs: number) => number | null {
  if (daysAndNights.every(({ targets }) => targets.mist === undefined)) return () => null;
  return (atMs) => {
    const span = daysAndNights.findLast(({ fromMs }) => fromMs <= atMs) ?? daysAndNights[0];
    const everyMin = span?.night ? span.targets.mist?.everyMinByNight : span?.targets.mist?.everyMinByDay;
    return everyMin === undefined ? null : everyMin * MINUTE_MS;
  };
}
