import type { Place } from '../../../shared/model/place.ts';
import type { Vent } from '../vents/vent.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;

/** What only the record tells of a place is looked up this often, ms. */
export const LOOK_UP_EVERY_MS = 5 * MINUTE_MS;
/** How far back mist, vents and saturation are looked up, ms. */
export const MIST_LOOK_MS = 3 * HOUR_MS;
export const VENTS_LOOK_MS = 12 * HOUR_MS;
export const SATURATION_LOOK_MS = 6 * VENTS_LOOK_MS;

/** So many intervals without a pulse, and so many minutes, are no chance. Proposals of the project. */
const MISSED_INTERVALS = 3;
const LEAST_DRY_MIN = 15;

/** On an open bench humidity falls with the day: only under a cover is that a vent, unless somebody wrote it down. */
export const COVERED: readonly Place['kind'][] = ['dome', 'case', 'frame'];

/**
 * How long mist may stay away in light, min: three intervals of its pattern, 15 min at least; null in the dark.
 * @param mist.patternMs usual time from pulse to pulse, ms
 * @example dryLimitMin({ patternMs: 600_000, light: true }) // 30
 */
export function dryLimitMin({ patternMs, light }: { patternMs: number; light: boolean }): number | null {
  return light ? Math.max((MISSED_INTERVALS * patternMs) / MINUTE_MS, LEAST_DRY_MIN) : null;
}

/**
 * How long a vent has been open, h: one that was not shut, or after which humidity did not come back under its cover.
 * @param last the newest vent as it is known at the time, or null
 * @returns 0 when none is open; null where that is not known
 */
export function hoursOpen(
  last: Pick<Vent, 'fromMs' | 'toMs' | 'how' | 'humidityBack'> | null,
  { nowMs, reliable }: { nowMs: number; reliable: boolean },
): number | null {
  if (last === null) return reliable ? 0 : null;
  const open = last.toMs === null || (last.how !== 'logged' && last.humidityBack === false);
  return open ? (nowMs - last.fromMs) / HOUR_MS : 0;
}
