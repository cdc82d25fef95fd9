import { DateTime } from 'luxon';
import type { Targets, TargetsFrom } from '../../../shared/model/targets.ts';

export type LocalDay = { readonly date: string; readonly fromMs: number; readonly toMs: number };

/** A stretch in which one set of targets holds and it is day, or night, throughout. */
export type TargetSpan = {
  readonly fromMs: number;
  readonly toMs: number;
  readonly night: boolean;
  readonly targets: Targets;
};

/** True for an IANA time zone name this machine knows. */
export function isTimeZone(zone: string): boolean {
  return DateTime.fromMillis(0, { zone }).isValid;
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
  let start = DateTime.fromMillis(fromMs, { zone }).startOf('day');
  while (start.toMillis() < toMs) {
    const next = start.plus({ days: 1 }).startOf('day');
    days.push({ date: start.toISODate() ?? '', fromMs: start.toMillis(), toMs: next.toMillis() });
    start = next;
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
  // the library alone would resolve a repeated hour by the offset in force today, whenever today is
  const wallMs = DateTime.fromISO(`${day.date}T${clockTime}`, { zone: 'utc' }).toMillis();
  const beforeChange = wallMs - offsetMs(day.fromMs, zone);
  if (offsetMs(beforeChange, zone) === offsetMs(day.fromMs, zone)) return beforeChange;
  const afterChange = wallMs - offsetMs(day.toMs - 1, zone);
  return offsetMs(afterChange, zone) === offsetMs(day.toMs - 1, zone) ? afterChange : beforeChange;
}

function offsetMs(atMs: number, zone: string): number {
  return DateTime.fromMillis(atMs, { zone }).offset * 60_000;
}

/** True when the instant lies in the night of the targets: from nightStart until dayStart, wall clock. */
export function isNight({ atMs, targets, zone }: { atMs: number; targets: Targets; zone: string }): boolean {
  const local = DateTime.fromMillis(atMs, { zone }).toFormat('HH:mm');
  const { dayStart, nightStart } = targets;
  return dayStart < nightStart
    ? local < dayStart || local >= nightStart
    : local >= nightStart && local < dayStart;
}

/**
 * The bands of a span, resolved to instants: cut where day turns to night, and where targets change.
 * Contiguous, ascending, covering exactly [fromMs, toMs).
 * @param history ascending by `fromMs`; the first holds before its own start too
 */
export function targetSpans(query: {
  history: readonly TargetsFrom[];
  fromMs: number;
  toMs: number;
  zone: string;
}): TargetSpan[] {
  const { history, fromMs, toMs, zone } = query;
  return history.flatMap(({ targets, fromMs: since }, i) => {
    const start = i === 0 ? fromMs : Math.max(since, fromMs);
    const end = Math.min(history[i + 1]?.fromMs ?? toMs, toMs);
    return start < end ? dayAndNightSpans({ targets, fromMs: start, toMs: end, zone }) : [];
  });
}

type OneTargets = { targets: Targets; fromMs: number; toMs: number; zone: string };

function dayAndNightSpans({ targets, fromMs, toMs, zone }: OneTargets): TargetSpan[] {
  const cuts = localDays({ fromMs, toMs, zone })
    .flatMap((day) => switchesOf({ day, targets, zone }))
    .filter((cut) => cut.atMs > fromMs && cut.atMs < toMs)
    .sort((a, b) => a.atMs - b.atMs);
  const startsAtNight = cuts[0] ? !cuts[0].toNight : isNight({ atMs: fromMs, targets, zone });
  const starts = [{ atMs: fromMs, toNight: startsAtNight }, ...cuts];
  return starts.map((start, i) => ({
    fromMs: start.atMs,
    toMs: starts[i + 1]?.atMs ?? toMs,
    night: start.toNight,
    targets,
  }));
}

function switchesOf({ day, targets, zone }: { day: LocalDay; targets: Targets; zone: string }) {
  return [
    { atMs: instantOf({ day, clockTime: targets.dayStart, zone }), toNight: false },
    { atMs: instantOf({ day, clockTime: targets.nightStart, zone }), toNight: true },
  ];
}

/** Local time minus UTC at an instant, ms. */
export function utcOffsetMs({ atMs, zone }: { atMs: number; zone: string }): number {
  return offsetMs(atMs, zone);
}
