import { Fault } from '../../../shared/faults.ts';
import type { BackupsAnswer, HouseFacts } from '../../../shared/wire/http.ts';
import type {
  BackupFile,
  BackupFolder,
  BackupPhotos,
  BackupService,
  CopyRecord,
  DiskRoom,
} from '../../domain/backups/backup-service.ts';
import { backupName } from '../../domain/backups/name.ts';
import { backupsToDrop } from '../../domain/backups/rotation.ts';
import { CLOCK_TOLERANCE_MS, dayNumber, isBackupDue } from '../../domain/backups/schedule.ts';
import type { Clock, Log, Timers } from '../../ports.ts';

/** How often the daemon checks whether a backup is due, ms. */
const CHECK_EVERY_MS = 10_000;
/** A backup must leave this free: a full disk would stop the record for the sake of its copy. */
const KEEP_FREE_BYTES = 16 * 1024 * 1024;

type BackupDeps = {
  readonly copy: CopyRecord;
  readonly folder: BackupFolder;
  readonly photos: BackupPhotos;
  readonly room: DiskRoom;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
  readonly zone: string;
  /** time of day, or null for none by itself */
  readonly dailyAt: string | null;
  /** whether old backups may be dropped now; they may unless given */
  readonly mayDrop?: () => boolean;
  /** when the record was begun, ms since epoch: before a first backup it stands in for one */
  readonly madeMs: number;
};

export type Backups = BackupService & {
  /** Makes one; the same when one is under way. @throws Fault `backup-failed` */
  make(): Promise<BackupFile>;
  facts(): HouseFacts['backup'];
  /** Finished backups, oldest first, as they were at the last check. */
  finished(): readonly BackupFile[];
  /** From now on makes one a day. */
  begin(): void;
  stop(): Promise<void>;
};

type Running = { readonly name: string; progressPct: number; readonly done: Promise<BackupFile> };

/** What is known between one check and the next. */
type State = {
  running: Running | null;
  stopCopy: (() => Promise<void>) | null;
  lastError: string | null;
  failedMs: number | null;
  finished: readonly BackupFile[];
};

/** Makes backups, by order and by the clock, drops old ones, and reports its progress. */
export function createBackups(deps: BackupDeps): Backups {
  const { folder, log } = deps;
  const finished = finishedIn(folder);
  const state: State = { running: null, stopCopy: null, lastError: null, failedMs: null, finished };
  let stopChecking: () => void = () => undefined;
  const start = () => {
    make(deps, state).then(
      ({ name, bytes }) => log.info('a backup was made', { name, bytes }),
      (cause: unknown) => log.error('a backup failed', { error: String(cause) }),
    );
  };
  return {
    start,
    make: () => make(deps, state),
    finished: () => state.finished,
    facts: () => factsOf(state),
    answer: () => answerOf(deps, state),
    begin() {
      stopChecking = deps.timers.every(CHECK_EVERY_MS, () => {
        state.finished = finishedIn(folder);
        if (isDue(deps, state)) start();
      });
    },
    async stop() {
      stopChecking();
      await state.stopCopy?.();
      await state.running?.done.catch(() => undefined);
    },
  };
}

function isDue(
  { dailyAt, zone, clock, madeMs }: BackupDeps,
  { running, finished, failedMs }: State,
): boolean {
  if (running || dailyAt === null) return false;
  const backupsMs = finished.map(({ atMs }) => atMs);
  return isBackupDue({ clockTime: dailyAt, zone }, { nowMs: clock.nowMs(), backupsMs, madeMs, failedMs });
}

function make(deps: BackupDeps, state: State): Promise<BackupFile> {
  if (state.running) return state.running.done;
  const name = backupName(deps.clock.nowMs());
  const { promise, resolve, reject } = Promise.withResolvers<BackupFile>();
  state.running = { name, progressPct: 0, done: promise };
  makeNamed(name, deps, state).then(resolve, reject);
  return promise;
}

async function makeNamed(name: string, deps: BackupDeps, state: State): Promise<BackupFile> {
  const { folder, photos, clock } = deps;
  try {
    folder.sweep();
    requireRoom(deps.room());
    // before the copy and after it: one whose time is over meanwhile is in the copy, and so is one that was added
    photos.keep();
    const onProgress = (pct: number) => {
      if (state.running) state.running.progressPct = pct;
    };
    const copying = deps.copy({ to: folder.begin(name), onProgress });
    state.stopCopy = copying.stop;
    await copying.done;
    photos.keep();
    folder.finish(name);
    rotate(deps);
    state.lastError = null;
    state.failedMs = null;
    return requireFinished(folder, name);
  } catch (cause) {
    folder.abandon(name);
    state.lastError = cause instanceof Error ? cause.message : String(cause);
    state.failedMs = clock.nowMs();
    if (cause instanceof Fault) throw cause;
    throw new Fault({ code: 'backup-failed', message: `No backup was made: ${state.lastError}.`, cause });
  } finally {
    state.running = null;
    state.stopCopy = null;
    state.finished = finishedIn(folder);
  }
}

function factsOf({ finished, running, lastError }: State): HouseFacts['backup'] {
  const last = finished.at(-1);
  return {
    lastAt: last ? iso(last.atMs) : null,
    running: running !== null,
    progressPct: running?.progressPct ?? null,
    lastError,
  };
}

function answerOf({ folder, dailyAt }: BackupDeps, { running, lastError }: State): BackupsAnswer {
  const newestFirst = folder.list().toSorted((a, b) => b.atMs - a.atMs);
  return {
    backups: newestFirst.map(({ name, atMs, bytes, verified }) => ({ name, at: iso(atMs), bytes, verified })),
    running: running && { name: running.name, progressPct: running.progressPct },
    lastError,
    dailyAt,
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
    'Free disk space, or move old backups elsewhere.';
  throw new Fault({ code: 'backup-failed', message, details: { wanted, freeBytes } });
}

function rotate({ folder, photos, zone, log, clock, mayDrop = () => true }: BackupDeps): void {
  if (!mayDrop()) return;
  const latestMs = clock.nowMs() + CLOCK_TOLERANCE_MS;
  // one that a clock named that was ahead neither goes nor makes another go
  const present = finishedIn(folder).filter(({ atMs }) => atMs <= latestMs);
  const dated = present.map((file) => ({ ...file, day: dayNumber({ atMs: file.atMs, zone }) }));
  for (const { name } of backupsToDrop(dated)) {
    folder.remove(name);
    log.info('an old backup was dropped', { name });
  }
  try {
    photos.drop(finishedIn(folder).map(({ name }) => folder.pathOf(name)));
  } catch (cause) {
    log.warn('photos beside the backups were not looked through', { error: String(cause) });
  }
}

function megabytes(bytes: number): string {
  return `${Math.ceil(bytes / 1e6)} MB`;
}

function iso(atMs: number): string {
  return new Date(atMs).toISOString();
}
