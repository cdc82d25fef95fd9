import type { Room } from '../../../shared/wire/http.ts';
import type { BackupFile, DiskRoom } from '../../domain/backups/backup-service.ts';
import { dayNumber } from '../../domain/backups/schedule.ts';
import { daysUntilFull, growthBytesPerDay } from '../../domain/disk-space/forecast.ts';
import type { Clock } from '../../ports.ts';

/** How often disk and forecast are checked, ms. */
const ROOM_EVERY_MS = 60_000;

type RoomDeps = {
  readonly room: DiskRoom;
  readonly finished: () => readonly BackupFile[];
  readonly clock: Clock;
  readonly zone: string;
  readonly daily: boolean;
  readonly madeMs: number;
};

/** Room on the disk and how long it lasts, checked at most once a minute. */
export function createRoom(deps: RoomDeps): () => Room {
  let known: Room | null = null;
  let checkedMs = Number.NEGATIVE_INFINITY;
  return () => {
    const nowMs = deps.clock.nowMs();
    if (known === null || Math.abs(nowMs - checkedMs) >= ROOM_EVERY_MS) {
      known = roomNow(deps);
      checkedMs = nowMs;
    }
    return known;
  };
}

/** The same, looked at now. */
export function roomNow({ room, finished, clock, zone, daily, madeMs }: RoomDeps): Room {
  const { databaseBytes: fileBytes, walBytes, freeBytes } = room();
  const databaseBytes = fileBytes + walBytes;
  const nowMs = clock.nowMs();
  const backups = finished().map(({ atMs, bytes }) => ({ atMs, bytes, day: dayNumber({ atMs, zone }) }));
  const history = [{ atMs: madeMs, bytes: 0 }, ...backups];
  const bytesPerDay = growthBytesPerDay(history, { atMs: nowMs, bytes: fileBytes });
  if (bytesPerDay === null) return { databaseBytes, freeBytes, bytesPerDay, daysLeft: null };
  const day = dayNumber({ atMs: nowMs, zone });
  const forecast = { databaseBytes: fileBytes, freeBytes, bytesPerDay, daily, backups, day };
  return {
    databaseBytes,
    freeBytes,
    bytesPerDay: Math.round(bytesPerDay),
    daysLeft: daysUntilFull(forecast),
  };
}
