/** How many days, weeks and months are each kept by their newest backup. */
const KEEP_DAILY = 7;
const KEEP_WEEKLY = 4;
const KEEP_MONTHLY = 12;

/** A backup by the local day on which it was made, counted from 1 January 1970. */
export type DatedBackup = { readonly atMs: number; readonly day: number };

const DAY_MS = 86_400_000;

const RULES: readonly { readonly keep: number; readonly periodOf: (day: number) => number }[] = [
  { keep: KEEP_DAILY, periodOf: (day) => day },
  { keep: KEEP_WEEKLY, periodOf: weekOf },
  { keep: KEEP_MONTHLY, periodOf: monthOf },
];

/**
 * Which backups have had their time: all but the newest of each of the last 7 days, 4 weeks and 12 months that
 * have one. A day without a backup takes no other's place, and the newest backup is never dropped.
 * @param backups in any order
 * @returns those to drop, in the order given
 */
export function backupsToDrop<T extends DatedBackup>(backups: readonly T[]): T[] {
  const newestFirst = backups.toSorted((a, b) => b.atMs - a.atMs);
  const kept = new Set(RULES.flatMap((rule) => newestOfPeriods(newestFirst, rule)));
  return backups.filter((backup) => !kept.has(backup));
}

function newestOfPeriods<T extends DatedBackup>(
  newestFirst: readonly T[],
  { keep, periodOf }: { keep: number; periodOf: (day: number) => number },
): T[] {
  const newest = new Map<number, T>();
  for (const backup of newestFirst) {
    const period = periodOf(backup.day);
    if (!newest.has(period)) newest.set(period, backup);
    if (newest.size === keep) break;
  }
  return [...newest.values()];
}

/** Weeks begin on Monday; 1 January 1970 was a Thursday. */
function weekOf(day: number): number {
  return Math.floor((day + 3) / 7);
}

function monthOf(day: number): number {
  const date = new Date(day * DAY_MS);
  return date.getUTCFullYear() * 12 + date.getUTCMonth();
}
