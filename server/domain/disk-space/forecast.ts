import { backupsToDrop, type DatedBackup } from '../backups/rotation.ts';

const DAY_MS = 86_400_000;
/** Growth is taken over at most this long, so that it is that of the present, and at least so long, ms. */
const GROWTH_OVER_MS = 30 * DAY_MS;
const GROWTH_AFTER_MS = 20 * 3_600_000;
/** How far ahead is looked, days. */
const HORIZON_DAYS = 730;

/** The size of the record at some time: each backup is one. */
type SizeAt = { readonly atMs: number; readonly bytes: number };

/**
 * How fast the record grows: from the oldest known size of the last 30 days, or else the newest
 * older one, to the present size.
 * @param history sizes known, in any order; the making of the record counts as one of 0 bytes
 * @param now the present size
 * @returns bytes a day, 0 where it shrinks, or null with less than 20 h to go by
 */
export function growthBytesPerDay(history: readonly SizeAt[], now: SizeAt): number | null {
  const recent = history.filter(({ atMs }) => atMs >= now.atMs - GROWTH_OVER_MS);
  const older = history.filter(({ atMs }) => atMs < now.atMs - GROWTH_OVER_MS);
  const oldest =
    recent.toSorted((a, b) => a.atMs - b.atMs)[0] ?? older.toSorted((a, b) => b.atMs - a.atMs)[0];
  if (oldest === undefined || now.atMs - oldest.atMs < GROWTH_AFTER_MS) return null;
  return Math.max(0, ((now.bytes - oldest.bytes) / (now.atMs - oldest.atMs)) * DAY_MS);
}

/** What the forecast starts from; bytes and bytes a day. */
type RoomNow = {
  readonly databaseBytes: number;
  readonly freeBytes: number;
  readonly bytesPerDay: number;
  /** one backup a day is made, and old ones are dropped */
  readonly daily: boolean;
  readonly backups: readonly (DatedBackup & { readonly bytes: number })[];
  readonly day: number;
};

/**
 * Days until the disk is full at the present rate, counting the record and its daily backups as they are made
 * and dropped.
 * @returns whole days, 0 when the next backup already does not fit; 730 stands for two years or more
 */
export function daysUntilFull(now: RoomNow): number {
  let backups = [...now.backups];
  const heldNow = sumOf(backups) + now.databaseBytes;
  for (let ahead = 1; ahead <= HORIZON_DAYS; ahead++) {
    const bytes = now.databaseBytes + ahead * now.bytesPerDay;
    if (now.daily) backups.push({ atMs: (now.day + ahead) * DAY_MS, day: now.day + ahead, bytes });
    if (sumOf(backups) + bytes - heldNow > now.freeBytes) return ahead - 1;
    if (!now.daily) continue;
    const dropped = new Set(backupsToDrop(backups));
    backups = backups.filter((backup) => !dropped.has(backup));
  }
  return HORIZON_DAYS;
}

function sumOf(backups: readonly { readonly bytes: number }[]): number {
  return backups.reduce((sum, { bytes }) => sum + bytes, 0);
}
