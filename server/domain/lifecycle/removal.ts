/** Days for which what was deleted can be restored. */
const RESTORABLE_DAYS = 30;
export const DAY_MS = 86_400_000;

/** How many days have been counted since something was deleted, and when the last was, ms since epoch. */
type CountedDays = { readonly countedDays: number; readonly countedMs: number };

/**
 * Counts days one at a time, at least a day apart by the clock: a clock that jumps ahead by a year counts one, and one
 * that goes back counts none. A daemon that is off counts none either, so what was deleted stays longer, never shorter.
 * @returns the count as it is now; the same object when nothing changed
 */
export function withDay(counted: CountedDays, nowMs: number): CountedDays {
  const { countedDays, countedMs } = counted;
  if (nowMs < countedMs) return { countedDays, countedMs: nowMs };
  return nowMs - countedMs >= DAY_MS ? { countedDays: countedDays + 1, countedMs: nowMs } : counted;
}

/** When it is removed for good, ms since epoch, while the daemon runs every day and its clock is right. */
export function removedAtMs({ countedDays, countedMs }: CountedDays): number {
  return countedMs + Math.max(0, RESTORABLE_DAYS - countedDays) * DAY_MS;
}

export function isOver({ countedDays }: CountedDays): boolean {
  return countedDays >= RESTORABLE_DAYS;
}
