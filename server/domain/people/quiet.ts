import type { Quiet } from '../../../shared/model/people/people.ts';
import { instantOf, localDays } from '../calendar/days.ts';

const DAY_MS = 86_400_000;

/**
 * Until when the quiet hours last in which an instant lies.
 * @param quiet wall-clock times, over midnight when `to` is earlier than `from`; null: none
 * @param nowMs ms since epoch
 * @param zone IANA time zone
 * @returns ms since epoch, or null when the instant lies in none
 */
export function quietUntilMs({
  quiet,
  nowMs,
  zone,
}: {
  quiet: Quiet | null;
  nowMs: number;
  zone: string;
}): number | null {
  if (quiet === null) return null;
  const days = localDays({ fromMs: nowMs - DAY_MS, toMs: nowMs + 2 * DAY_MS, zone });
  for (const [i, day] of days.entries()) {
    const endDay = quiet.to < quiet.from ? days[i + 1] : day;
    if (!endDay) continue;
    const fromMs = instantOf({ day, clockTime: quiet.from, zone });
    const toMs = instantOf({ day: endDay, clockTime: quiet.to, zone });
    if (fromMs <= nowMs && nowMs < toMs) return toMs;
  }
  return null;
}

/**
 * When the next morning sheet is sent.
 * @param of wall-clock time, the time now (ms since epoch), IANA zone, and the day of the last sheet, YYYY-MM-DD
 * @returns ms since epoch; now where one is due
 */
export function nextMorningSheetMs(of: MorningSheet): number {
  const { morningAt, nowMs, zone } = of;
  if (morningSheetDayDue(of) !== null) return nowMs;
  const days = localDays({ fromMs: nowMs, toMs: nowMs + 2 * DAY_MS, zone });
  const moments = days.map((day) => instantOf({ day, clockTime: morningAt, zone }));
  return moments.find((atMs) => atMs > nowMs) ?? nowMs;
}

type MorningSheet = Parameters<typeof morningSheetDayDue>[0];

/**
 * The local day whose morning sheet is due.
 * @param morningAt wall-clock time
 * @param nowMs ms since epoch
 * @param zone IANA time zone
 * @param lastDay the day of the last sheet, YYYY-MM-DD, or null before the first
 * @returns YYYY-MM-DD, or null when none is due
 */
export function morningSheetDayDue({
  morningAt,
  nowMs,
  zone,
  lastDay,
}: {
  morningAt: string;
  nowMs: number;
  zone: string;
  lastDay: string | null;
}): string | null {
  const [day] = localDays({ fromMs: nowMs, toMs: nowMs + 1, zone });
  if (!day || nowMs < instantOf({ day, clockTime: morningAt, zone })) return null;
  const [, tomorrow] = localDays({ fromMs: nowMs, toMs: nowMs + 2 * DAY_MS, zone });
  // one of a later day was sent by a clock that was ahead
  const isSent = lastDay !== null && lastDay >= day.date && lastDay <= (tomorrow?.date ?? day.date);
  return isSent ? null : day.date;
}
