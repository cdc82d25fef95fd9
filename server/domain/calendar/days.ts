import { IANAZone } from 'luxon';
import type { Targets } from '../../../shared/model/targets.ts';

export type LocalDay = { readonly date: string; readonly fromMs: number; readonly toMs: number };

const DAY_MS = 86_400_000;

/** True for an IANA time zone name this machine knows. */
export function isTimeZone(zone: string): boolean {
  // the library's own dates also take names such as "local", which nothing that writes a time understands
  return IANAZone.isValidZone(zone);
}

/**
 * Local calendar days that touch the span, whole: 23, 24 or 25 hours each.
 * @param span ms since epoch, `fromMs < toMs`
 * @param zone IANA time zone
 */
export function localDays({
  fromMs,
  toMs,
  zone,
}: {
  fromMs: number;
  toMs: number;
  zone: string;
}): LocalDay[] {
  const days: LocalDay[] = [];
  const localMs = fromMs + offsetMs(fromMs, zone);
  let midnight = localMs - modulo(localMs, DAY_MS);
  let startMs = atWallTime(midnight, zone);
  while (startMs < toMs) {
    const endMs = atWallTime(midnight + DAY_MS, zone);
    const date = new Date(midnight).toISOString().slice(0, 10);
    if (startMs < endMs && endMs > fromMs) days.push({ date, fromMs: startMs, toMs: endMs });
    midnight += DAY_MS;
    startMs = endMs;
  }
  return days;
}

/**
 * The instant of a local wall-clock time on a local day. A time that a clock change skips
 * is taken as the same distance after the change; one that it repeats is the first.
 */
export function instantOf({
  day,
  clockTime,
  zone,
}: {
  day: LocalDay;
  clockTime: string;
  zone: string;
}): number {
  return atWallTime(Date.parse(`${day.date}T${clockTime}Z`), zone);
}

/**
 * @param wallMs the wall clock's date and time, as if they were UTC
 * @returns ms since epoch; read from the offsets a day before and after, never from today's
 */
function atWallTime(wallMs: number, zone: string): number {
  const before = offsetMs(wallMs - DAY_MS, zone);
  const after = offsetMs(wallMs + DAY_MS, zone);
  const first = wallMs - before;
  if (before === after || offsetMs(first, zone) === before) return first;
  const second = wallMs - after;
  return offsetMs(second, zone) === after ? second : first;
}

const QUARTER_MS = 15 * 60_000;
const MOST_KNOWN = 10_000;
/** Offsets of quarters of an hour, ms; null where the clock is changed within one. */
const known = new Map<string, number | null>();

/** Evaluated once a quarter of an hour, since the library formats a date for each. */
function offsetMs(atMs: number, zone: string): number {
  const fromMs = Math.floor(atMs / QUARTER_MS) * QUARTER_MS;
  const key = `${zone} ${fromMs}`;
  const before = known.get(key);
  if (before !== undefined) return before ?? zoneOffsetMs(atMs, zone);
  const first = zoneOffsetMs(fromMs, zone);
  const isSteady = first === zoneOffsetMs(fromMs + QUARTER_MS - 1, zone);
  if (known.size >= MOST_KNOWN) known.clear();
  known.set(key, isSteady ? first : null);
  return isSteady ? first : zoneOffsetMs(atMs, zone);
}

function zoneOffsetMs(atMs: number, zone: string): number {
  return IANAZone.create(zone).offset(atMs) * 60_000;
}

function modulo(value: number, by: number): number {
  return ((value % by) + by) % by;
}

/** A moment at which the wall clock turns day to night, or night to day; ms since epoch. */
type ClockSwitch = { readonly atMs: number; readonly toNight: boolean };

/**
 * The switches of day and night by the wall clock, ascending and by turns, from before the span to its end.
 * A half that a clock change swallows whole does not happen on that day.
 * @param span ms since epoch; at least one switch before it is given
 */
export function clockSwitches({ fromMs, toMs, targets, zone }: OneTargets): ClockSwitch[] {
  const switches: ClockSwitch[] = [];
  for (const day of localDays({ fromMs: fromMs - 2 * DAY_MS, toMs, zone })) {
    for (const next of switchesOf({ day, targets, zone })) {
      const last = switches.at(-1);
      if (last && last.atMs >= next.atMs) switches.pop();
      else switches.push(next);
    }
  }
  return switches;
}

/** True when the instant lies in the night of the targets: from nightStart until dayStart, wall clock. */
export function isNight({ atMs, targets, zone }: { atMs: number; targets: Targets; zone: string }): boolean {
  const switches = clockSwitches({ fromMs: atMs, toMs: atMs + 1, targets, zone });
  return switches.findLast((one) => one.atMs <= atMs)?.toNight ?? true;
}

type OneTargets = { targets: Targets; fromMs: number; toMs: number; zone: string };

/** Both switches of a day, in the order of the clock. */
function switchesOf({ day, targets, zone }: { day: LocalDay; targets: Targets; zone: string }) {
  const { dayStart, nightStart } = targets;
  const toDay = { atMs: instantOf({ day, clockTime: dayStart, zone }), toNight: false };
  const toNight = { atMs: instantOf({ day, clockTime: nightStart, zone }), toNight: true };
  return dayStart < nightStart ? [toDay, toNight] : [toNight, toDay];
}

/** Local time minus UTC at an instant, ms. */
export function utcOffsetMs({ atMs, zone }: { atMs: number; zone: string }): number {
  return offsetMs(atMs, zone);
}
