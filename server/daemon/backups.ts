import { Fault } from '../../shared/faults.ts';
import type { HouseFacts } from '../../shared/wire/http.ts';
import { backupName } from '../domain/backups/name.ts';
import { backupsToDrop } from '../domain/backups/rotation.ts';
import { type DailyAt, dayNumber, isBackupDue } from '../domain/backups/schedule.ts';
import type {
  BackupDesk,
  BackupFile,
  BackupFolder,
  Clock,
  CopyRecord,
  DiskRoom,
  Log,
  Timers,
} from '../ports.ts';

/** How often it is looked whether a backup is due, ms. */
export const LOOK_EVERY_MS = 10_000;
/** A backup must leave this free: a full disk would stop the record for the sake of its copy. */
export const KEEP_FREE_BYTES = 16 * 1024 * 1024;

export type BackupDeps = {
  readonly copy: CopyRecord;
  readonly folder: BackupFolder;
  readonly room: DiskRoom;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
  readonly zone: string;
  /** time of day, or null for none by itself */
  readonly dailyAt: string | null;
  /** when the record was begun, ms since epoch: before a first backup it stands in for one */
  readonly madeMs: number;
};

export type Backups = BackupDesk & {
  /** Makes one; the same when one is under way. @throws Fault `backup-failed` */
  make(): Promise<BackupFile>;
  facts(): HouseFacts['backup'];
  /** Finished backups, oldest first, as they were at the last look. */
  finished(): readonly BackupFile[];
  /** From now on makes one a day. */
  begin(): void;
  stop(): Promise<void>;
};

type Running = { readonly name: string; progressPct: number; readonly done: Promise<BackupFile> };

/** Makes backups, by order and by the clock, drops old ones, and tells how it goes. */
export function createBackups(deps: BackupDeps): Backups {
  const { folder, clock, timers, log, zone } = deps;
  const daily: DailyAt | null = deps.dailyAt === null ? null : { clockTime: deps.dailyAt, zone };
  let running: Running | null = null;
  let stopCopy: (() => Promise<void>) | null = null;
  let lastError: string | null = null;
  let failedMs: number | null = null;
  let finished = finishedIn(folder);
  let stopLooking: () => void = () => undefined;

  const work = async (name: string): Promise<BackupFile> => {
    try {
      folder.sweep();
      requireRoom(deps.room());
      const onProgress = (pct: number) => {
        if (running) running.progressPct = pct;
      };
      const copying = deps.copy({ to: folder.begin(name), onProgress });
      stopCopy = copying.stop;
      await copying.done;
      folder.finish(name);
      lastError = null;
      failedMs = null;
      rotate(deps);
      return requireFinished(folder, name);
    } catch (cause) {
      folder.abandon(name);
      lastError = cause instanceof Error ? cause.message : String(cause);
      failedMs = clock.nowMs();
      if (cause instanceof Fault) throw cause;
      throw new Fault({ code: 'backup-failed', message: `No backup was made: ${lastError}.`, cause });
    } finally {
      running = null;
      stopCopy = null;
      finished = finishedIn(folder);
    }
  };
  const make = () => {
    if (running) return running.done;
    const name = backupName(clock.nowMs());
    const { promise, resolve, reject } = Promise.withResolvers<BackupFile>();
    running = { name, progressPct: 0, done: promise };
    work(name).then(resolve, reject);
    return promise;
  };
  const start = () => {
    make().then(
      ({ name, bytes }) => log.info('a backup was made', { name, bytes }),
      (cause: unknown) => log.error('a backup failed', { error: String(cause) }),
    );
  };
  const look = () => {
    finished = finishedIn(folder);
    if (running || daily === null) return;
    const backupsMs = finished.map(({ atMs }) => atMs);
    if (isBackupDue(daily, { nowMs: clock.nowMs(), backupsMs, madeMs: deps.madeMs, failedMs })) start();
  };

  return {
    make,
    start,
    finished: () => finished,
    facts: () => ({
      lastAt: isoOf(finished.at(-1)?.atMs),
      running: running !== null,
      progressPct: running?.progressPct ?? null,
      lastError,
    }),
    answer: () => ({
      backups: folder
        .list()
        .toSorted((a, b) => b.atMs - a.atMs)
        .map(({ name, atMs, bytes, verified }) => ({ name, at: iso(atMs), bytes, verified })),
      running: running && { name: running.name, progressPct: running.progressPct },
      lastError,
      dailyAt: deps.dailyAt,
    }),
    begin() {
      stopLooking = timers.every(LOOK_EVERY_MS, look);
    },
    async stop() {
      stopLooking();
      await stopCopy?.();
      await running?.done.catch(() => undefined);
    },
  };
}

function finishedIn(folder: BackupFolder): BackupFile[] {
  return folder
    .list()
    .filter(({ verified }) => verified)
    .sort((a, b) => a.atMs - b.atMs);
}

function requireFinished(folder: BackupFolder, name: string): BackupFile {
  const made = folder.list().find((file) => file.name === name);
  if (made) return made;
  throw new Fault({ code: 'backup-failed', message: `The backup ${name} was made and is gone.` });
}

function requireRoom({ databaseBytes, walBytes, freeBytes }: ReturnType<DiskRoom>): void {
  const wanted = databaseBytes + walBytes + KEEP_FREE_BYTES;
  if (freeBytes >= wanted) return;
  const message =
    `No backup was made: it wants ${megabytes(wanted)} free on the disk, and ${megabytes(freeBytes)} are. ` +
    'Make room, or move old backups elsewhere.';
  throw new Fault({ code: 'backup-failed', message, details: { wanted, freeBytes } });
}

function rotate({ folder, zone, log }: BackupDeps): void {
  const dated = finishedIn(folder).map((file) => ({ ...file, day: dayNumber({ atMs: file.atMs, zone }) }));
  for (const { name } of backupsToDrop(dated)) {
    folder.remove(name);
    log.info('an old backup was dropped', { name });
  }
}

function megabytes(bytes: number): string {
  return `${Math.ceil(bytes / 1e6)} MB`;
}

function iso(atMs: number): string {
  return new Date(atMs).toISOString();
}

function isoOf(atMs: number | undefined): string | null {
  return atMs === undefined ? null : iso(atMs);
}
