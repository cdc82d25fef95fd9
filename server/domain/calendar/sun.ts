import { getTimes } from 'suncalc';
import { allOf, anyOf } from '../../../shared/exposure/intersect.ts';
import type { Window } from '../../../shared/exposure/series.ts';

/** A point on the Earth, degrees: latitude −90…90, longitude −180…180, east positive. */
export type Coordinates = { readonly latitudeDeg: number; readonly longitudeDeg: number };

const DAY_MS = 86_400_000;

/**
 * When the sun is up in a span: its upper limb above a level horizon. Each solar day, from one lowest point of the
 * sun to the next, is judged for itself, so that no span sees another sun than the spans it is made of.
 * @param span ms since epoch
 * @returns ascending windows within the span; none where the sun stays down throughout
 * @source [MEEUS] through the suncalc library; good to about a minute below 65° of latitude
 * @example sunUp({ fromMs, toMs, at: { latitudeDeg: 48.2, longitudeDeg: 16.4 } })
 */
export function sunUp({ fromMs, toMs, at }: Window & { readonly at: Coordinates }): Window[] {
  const dayAt = (atMs: number) => getTimes(new Date(atMs), at.latitudeDeg, at.longitudeDeg);
  const up: Window[] = [];
  let day = dayAt(fromMs - DAY_MS);
  for (let atMs = fromMs - DAY_MS; atMs < toMs + DAY_MS; atMs += DAY_MS) {
    const next = dayAt(atMs + DAY_MS);
    const window = { fromMs: day.nadir.getTime(), toMs: next.nadir.getTime() };
    up.push(...(day.alwaysUp ? [window] : between(day, window)));
    day = next;
  }
  return allOf([anyOf([up]), [{ fromMs, toMs }]]);
}

/** Near the polar circles a sunrise can be reckoned to before the sun's lowest point: the part of that day counts. */
function between({ sunrise, sunset }: { sunrise: Date | null; sunset: Date | null }, day: Window): Window[] {
  if (!sunrise || !sunset) return [];
  const fromMs = Math.max(day.fromMs, sunrise.getTime());
  const toMs = Math.min(day.toMs, sunset.getTime());
  return fromMs < toMs ? [{ fromMs, toMs }] : [];
}
