import { instantOf, localDays } from '../calendar/days.ts';

const DAY_MS = 86_400_000;
/** Rest after an attempt that failed, ms. */
const RETRY_AFTER_MS = 3_600_000;
/** A backup named later than now by more than this was made by a wrong clock and puts nothing off, ms. */
export const CLOCK_TOLERANCE_MS = DAY_MS;

/** A time of day in a zone. */
type DailyAt = { readonly clockTime: string; readonly zone: string };

/**
 * Whether a backup should be made now: none was since the newest scheduled instant that has passed, be it that
 * the daemon was away then.
 * @param at the time of day, wall clock, as "HH:MM"
 * @param past all in ms since epoch: the present; the backups there are; the making of the record, which stands in
 * for a first one; the newest attempt that failed, or null
 */
export function isBackupDue(
  at: DailyAt,
  past: {
    readonly nowMs: number;
    readonly backupsMs: readonly number[];
    readonly madeMs: number;
    readonly failedMs: number | null;
  },
): boolean {
  const { nowMs, backupsMs, madeMs, failedMs } = past;
  if (failedMs !== null && nowMs >= failedMs && nowMs - failedMs < RETRY_AFTER_MS) return false;
  const believable = [madeMs, ...backupsMs].filter((atMs) => atMs <= nowMs + CLOCK_TOLERANCE_MS);
  return Math.max(Number.NEGATIVE_INFINITY, ...believable) < lastScheduledMs(at, nowMs);
}

/** The newest scheduled instant that has passed, ms since epoch. */
function lastScheduledMs({ clockTime, zone }: DailyAt, nowMs: number): number {
  const days = localDays({ fromMs: nowMs - 2 * DAY_MS, toMs: nowMs + 1, zone });
  const passed = days.map((day) => instantOf({ day, clockTime, zone })).filter((atMs) => atMs <= nowMs);
  return Math.max(...passed);
}

/** The local day of an instant, counted from 1 January 1970. */
export function dayNumber({ atMs, zone }: { atMs: number; zone: string }): number {
  const date = localDays({ fromMs: atMs, toMs: atMs + 1, zone })[0]?.date ?? '';
  return Date.parse(`${date}T00:00:00Z`) / DAY_MS;
}
