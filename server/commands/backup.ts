import { Fault } from '../../shared/faults.ts';
import { sizeOf } from '../adapters/sqlite/file/check.ts';
import { copierOf } from '../adapters/sqlite/file/jobs.ts';
import { systemClock, systemTimers } from '../adapters/system/clock.ts';
import { holdsBytes } from '../adapters/system/files/aside.ts';
import { backupFolder } from '../adapters/system/files/backup-folder.ts';
import { freeBytes } from '../adapters/system/files/disk.ts';
import type { Settings } from '../config.ts';
import { type Backups, createBackups } from '../daemon/upkeep/backups.ts';
import type { DiskRoom } from '../domain/backups/backup-service.ts';
import type { Log, Timers } from '../ports.ts';
import { backupPhotos } from './backup-photos.ts';
import type { Command } from './command.ts';
import { recordFileIn } from './record-file.ts';

const REPORT_EVERY_MS = 250;

type BackupsOf = {
  readonly log: Log;
  readonly timers?: Timers;
  readonly madeMs: number;
  /** whether old ones may be dropped now; they may unless given */
  readonly mayDrop?: () => boolean;
};

/** The backups of a data folder, made from its record. */
export function backupsOf(
  { dataDir, timeZone, backupAt }: Settings,
  { log, timers = systemTimers, madeMs, mayDrop = () => true }: BackupsOf,
) {
  const file = recordFileIn(dataDir);
  return createBackups({
    copy: copierOf(file),
    folder: backupFolder(dataDir),
    photos: backupPhotos(dataDir),
    room: roomOf(dataDir),
    log,
    madeMs,
    clock: systemClock,
    timers,
    zone: timeZone,
    dailyAt: backupAt,
    mayDrop,
  });
}

/** How large the record of a data folder is, and what its disk still takes. */
export function roomOf(dataDir: string): DiskRoom {
  return () => ({ ...sizeOf(recordFileIn(dataDir)), freeBytes: freeBytes(dataDir) });
}

/** Makes one backup now, beside a running daemon or without one. */
export const backup: Command = {
  summary: 'copy the record while it is written, prove the copy good, drop old copies',
  usage: '[--json] [--config FILE]',
  options: { json: { type: 'boolean' } },
  async run({ settings, values, words, say, note }) {
    if (words.length > 0) {
      const message = `"${words.join(' ')}" means nothing here; backups go into the data folder.`;
      throw new Fault({ code: 'bad-request', message });
    }
    const file = recordFileIn(settings.dataDir);
    if (!holdsBytes(file)) {
      throw new Fault({
        code: 'backup-failed',
        message: `No backup was made: there is no record ${file} yet.`,
      });
    }
    const backups = backupsOf(settings, { log: silent, madeMs: 0 });
    const stopReporting = reportProgress(backups, note);
    try {
      const { name, atMs, bytes, verified } = await backups.make();
      const path = backupFolder(settings.dataDir).pathOf(name);
      const at = new Date(atMs).toISOString();
      say(
        values['json']
          ? JSON.stringify({ name, path, at, bytes, verified })
          : `${path} (${bytes} bytes, proved good)`,
      );
      return { code: 0 };
    } finally {
      stopReporting();
    }
  },
};

function reportProgress(backups: Backups, note: (line: string) => void): () => void {
  let lastSent = 0;
  note('copying: 0 %');
  return systemTimers.every(REPORT_EVERY_MS, () => {
    const { progressPct } = backups.facts();
    if (progressPct === null || progressPct === lastSent) return;
    lastSent = progressPct;
    note(progressPct < 50 ? `copying: ${progressPct} %` : `checking: ${progressPct} %`);
  });
}

const silent: Log = { info: () => undefined, warn: () => undefined, error: () => undefined };
