import type { Window } from '../../../shared/exposure/series.ts';
import type { Targets } from '../../../shared/model/targets.ts';
import { instantOf, type LocalDay, localDays } from './days.ts';

const DAY_MS = 86_400_000;

type Clock = Pick<Targets, 'dayStart' | 'nightStart'>;

/**
 * The night that a morning looks back on: from the earliest start of a night to the latest start of a day.
 * @param asked.date of the morning, YYYY-MM-DD
 * @param asked.clocks when day and night begin at each place; at least one
 * @param asked.zone IANA time zone
 * @returns ms since epoch; null for a date that no calendar has
 * @example nightSpan({ date: '2026-03-02', clocks: [{ dayStart: '06:00', nightStart: '20:00' }], zone: 'UTC' })
 */
export function nightSpan(asked: {
  readonly date: string;
  readonly clocks: readonly Clock[];
  readonly zone: string;
}): Window | null {
  const { date, clocks, zone } = asked;
  const noonMs = Date.parse(`${date}T12:00:00Z`);
  if (Number.isNaN(noonMs)) return null;
  const days = localDays({ fromMs: noonMs - 2 * DAY_MS, toMs: noonMs + DAY_MS, zone });
  const at = days.findIndex((day) => day.date === date);
  const [before, day] = [days[at - 1], days[at]];
  if (!before || !day) return null;
  return {
    fromMs: Math.min(...clocks.map((one) => nightStartMs(one, { before, day, zone }))),
    toMs: Math.max(...clocks.map(({ dayStart }) => instantOf({ day, clockTime: dayStart, zone }))),
  };
}

type Days = { readonly before: LocalDay; readonly day: LocalDay; readonly zone: string };

/** A night that begins after midnight belongs to the day it begins on. */
function nightStartMs({ dayStart, nightStart }: Clock, { before, day, zone }: Days): number {
  return instantOf({ day: nightStart < dayStart ? day : before, clockTime: nightStart, zone });
}
