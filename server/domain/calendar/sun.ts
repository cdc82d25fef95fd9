import { getPosition, getTimes } from 'suncalc';

/** A point on the Earth, degrees: latitude −90…90, longitude −180…180, east positive. */
export type Coordinates = { readonly latitudeDeg: number; readonly longitudeDeg: number };

/** An instant at which day turns to night or back, ms since epoch. */
export type Switch = { readonly atMs: number; readonly toNight: boolean };

const DAY_MS = 86_400_000;

/**
 * Sunrises and sunsets from a day before the span to its end, ascending: the upper limb on a level horizon.
 * None where the sun stays up or down throughout.
 * @param span ms since epoch
 * @source [MEEUS] through the suncalc library; good to about a minute below 65° of latitude
 */
export function sunSwitches(span: { fromMs: number; toMs: number; at: Coordinates }): Switch[] {
  const { latitudeDeg, longitudeDeg } = span.at;
  const found = new Map<number, Switch>();
  for (let atMs = span.fromMs - 2 * DAY_MS; atMs < span.toMs + DAY_MS; atMs += DAY_MS) {
    const { sunrise, sunset } = getTimes(new Date(atMs), latitudeDeg, longitudeDeg);
    if (sunrise) found.set(sunrise.getTime(), { atMs: sunrise.getTime(), toNight: false });
    if (sunset) found.set(sunset.getTime(), { atMs: sunset.getTime(), toNight: true });
  }
  return [...found.values()]
    .filter(({ atMs }) => atMs > span.fromMs - DAY_MS && atMs < span.toMs)
    .sort((a, b) => a.atMs - b.atMs);
}

/** True while the sun's centre stands above the horizon, refraction counted. */
export function isSunUp({ atMs, at }: { atMs: number; at: Coordinates }): boolean {
  return getPosition(new Date(atMs), at.latitudeDeg, at.longitudeDeg).altitude > 0;
}
