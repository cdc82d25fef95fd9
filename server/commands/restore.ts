import { Fault } from '../../shared/faults.ts';
import { sizeOf } from '../adapters/sqlite/file/check.ts';
import { lockDataDir } from '../adapters/sqlite/file/lock.ts';
import { photosNamedIn } from '../adapters/sqlite/file/photos-named.ts';
import { restoreRecord } from '../adapters/sqlite/restore/restore.ts';
import { systemClock } from '../adapters/system/clock.ts';
import { holdsBytes, putInPlace, removeCopy, setAside } from '../adapters/system/files/aside.ts';
import { freeBytes } from '../adapters/system/files/disk.ts';
import { openDataDir } from '../adapters/system/files/files.ts';
import { copyForeign } from '../adapters/system/files/foreign-file.ts';
import { restorePhotos } from '../adapters/system/files/photos.ts';
import { stampOf } from '../domain/backups/name.ts';
import {
  isComplete,
  type RestoreProgress,
  type RestoreReport,
  restoreLines,
} from '../domain/backups/restored.ts';
import type { Command } from './command.ts';
import { CHECK_BEFORE_BYTES, recordFileIn } from './record-file.ts';

/** Progress is said at most so often, ms. */
const REPORT_EVERY_MS = 250;

/** Exit code where the record was restored, but something was changed or left out; 2 is a refused restore. */
const INCOMPLETE = 1;

/** Puts a backup in the place of the record; the record that was there is moved aside and kept. */
export const restore: Command = {
  summary: 'put a backup in the place of the record; the old record is kept beside it',
  usage: 'FILE [--overwrite] [--json] [--config FILE]',
  options: { overwrite: { type: 'boolean' }, json: { type: 'boolean' } },
  async run({ settings, values, words, say, note }) {
    const [from] = words;
    if (from === undefined || words.length > 1) {
      throw badRequest(
        'Name one backup: strikewell restore FILE. They lie in the folder "backups" of the data folder.',
      );
    }
    const { dataDir } = settings;
    if (!holdsBytes(from)) throw badBackup(`There is no backup "${from}", or it is empty.`);
    openDataDir(dataDir);
    const lock = lockDataDir(dataDir);
    try {
      const overwrite = values['overwrite'] === true;
      const restored = restoreInto({ dataDir, from, overwrite, onProgress: paced(from, note) });
      const file = recordFileIn(dataDir);
      if (values['json']) say(JSON.stringify({ restored: file, from, ...restored }));
      else for (const line of linesOf({ from, file, ...restored })) say(line);
      return { code: isWhole(restored) ? 0 : INCOMPLETE };
    } finally {
      lock.release();
    }
  },
};

type Restored = RestoreReport & {
  readonly photos: { readonly restored: number; readonly missing: readonly string[] };
  readonly aside: string | null;
};

function isWhole(restored: Restored): boolean {
  return isComplete(restored) && restored.photos.missing.length === 0;
}

/** Photos lie beside a backup, not in it: one that was moved alone lacks them. */
function photoLines({ photos: { restored, missing } }: Restored): string[] {
  if (restored + missing.length === 0) return [];
  if (missing.length === 0) return [`photos: ${restored} restored`];
  return [
    `photos: ${restored} restored, ${missing.length} not found`,
    '  they lie in the folder "photos" beside the backups: put it beside this file and restore again',
  ];
}

function linesOf(restored: Restored & { readonly from: string; readonly file: string }): string[] {
  const { from, file, aside } = restored;
  return [
    ...restoreLines(restored),
    ...photoLines(restored),
    isWhole(restored)
      ? `Restored ${from} as ${file}.`
      : `Restored ${from} as ${file}, but not all of it: see above.`,
    ...(aside === null ? [] : [`What was there before is kept as ${aside}.`]),
  ];
}

/** Says how far a phase has come, at its start and then now and again; nothing for a backup that takes a moment. */
function paced(from: string, note: (line: string) => void): (progress: RestoreProgress) => void {
  if (sizeOf(from).databaseBytes <= CHECK_BEFORE_BYTES) return () => undefined;
  let last: { readonly phase: string; readonly atMs: number } | null = null;
  return ({ phase, pct }) => {
    const atMs = systemClock.nowMs();
    if (last?.phase === phase && atMs - last.atMs < REPORT_EVERY_MS) return;
    last = { phase, atMs };
    note(`${phase}: ${Math.floor(pct)} %`);
  };
}

type Restoring = {
  readonly dataDir: string;
  readonly from: string;
  readonly overwrite: boolean;
  readonly onProgress: (progress: RestoreProgress) => void;
};

function restoreInto({ dataDir, from, overwrite, onProgress }: Restoring): Restored {
  const file = recordFileIn(dataDir);
  const inPlace = holdsBytes(file);
  if (inPlace && !overwrite) {
    throw badRequest(
      `There is a record ${file} already. Add --overwrite to put "${from}" in its place; the record is then ` +
        'moved aside and kept. Nothing was changed.',
    );
  }
  const copy = `${file}.backup-copy`;
  const fresh = `${file}.restoring`;
  for (const path of [copy, fresh]) removeCopy(path);
  try {
    requireRoom({ from, dataDir });
    copyForeign({ from, to: copy }, (pct) => onProgress({ phase: 'copying', pct }));
    const nowMs = systemClock.nowMs();
    const report = restoreRecord({ from: copy, to: fresh, named: from, nowMs, onProgress });
    const wanted = photosNamedIn(fresh);
    const suffix = `.replaced-${stampOf(nowMs)}`;
    // a log alone, or an empty file, would be taken for part of the restored record
    const aside = setAside({ file, suffix });
    putInPlace({ from: fresh, to: file });
    const photos = restorePhotos({ wanted, backupFile: from, recordFile: file, asideSuffix: suffix });
    return { ...report, photos, aside: inPlace ? aside : null };
  } finally {
    for (const path of [copy, fresh]) removeCopy(path);
  }
}

/** For the copy and for the new record beside it. */
function requireRoom({ from, dataDir }: { from: string; dataDir: string }): void {
  const { databaseBytes, walBytes } = sizeOf(from);
  if (freeBytes(dataDir) > 2 * (databaseBytes + walBytes)) return;
  const message = `"${from}" does not fit twice on the disk of ${dataDir}, as a restore needs. Free disk space; nothing was changed.`;
  throw new Fault({ code: 'bad-backup', message });
}

function badRequest(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}

function badBackup(message: string): Fault {
  return new Fault({ code: 'bad-backup', message });
}
