import { join } from 'node:path';
import { Fault } from '../../shared/faults.ts';
import { damageOf, isDamage, sizeOf } from '../adapters/sqlite/file/check.ts';
import { openStore } from '../adapters/sqlite/store.ts';
import { asideBeside, holdsBytes, setAside } from '../adapters/system/files/aside.ts';
import { backupFolder } from '../adapters/system/files/backup-folder.ts';
import { stampOf } from '../domain/backups/name.ts';
import type { RecordStore } from '../ports.ts';

/** A record up to this size is checked whole before it is opened; a larger one beside the running daemon. */
export const CHECK_BEFORE_BYTES = 16 * 1024 * 1024;

/** The file of the record in a data folder. */
export function recordFileIn(dataDir: string): string {
  return join(dataDir, 'strikewell.db');
}

/**
 * Opens the record of a data folder, or begins one where none ever was. A damaged one is set aside untouched.
 * @returns the store, and whether all of it was checked
 * @throws Fault `store-damaged` naming the newest good backup and how to put it back; `store-failed`
 */
export function openRecord({ dataDir, nowMs }: { dataDir: string; nowMs: number }): {
  store: RecordStore;
  checked: boolean;
} {
  const file = recordFileIn(dataDir);
  if (!holdsBytes(file)) {
    requireNeverWas(dataDir);
    return { store: openStore({ file, nowMs }), checked: true };
  }
  const checked = sizeOf(file).databaseBytes <= CHECK_BEFORE_BYTES;
  const damage = damageOf(file, checked ? 'quick' : 'light');
  if (damage !== null) throw setDamagedAside({ dataDir, damage, nowMs });
  try {
    return { store: openStore({ file, nowMs }), checked };
  } catch (cause) {
    if (!isDamage(cause)) throw cause;
    throw setDamagedAside({ dataDir, damage: cause instanceof Error ? cause.message : String(cause), nowMs });
  }
}

/** Sets a damaged record aside, closed by now, and says so with the way back. */
export function setDamagedAside({
  dataDir,
  damage,
  nowMs,
}: {
  dataDir: string;
  damage: string;
  nowMs: number;
}): Fault {
  const file = recordFileIn(dataDir);
  const aside = asideOrThere({ file, suffix: `.damaged-${stampOf(nowMs)}` });
  const where = aside === file ? 'It could not be set aside' : `It was set aside untouched as ${aside}`;
  const message = `The record ${file} is damaged (${damage}). ${where}. ${undoWords(dataDir)}`;
  return new Fault({ code: 'store-damaged', message, details: { aside } });
}

/** The path of a record that was set aside; its own where the disk accepts nothing. */
function asideOrThere({ file, suffix }: { file: string; suffix: string }): string {
  try {
    return setAside({ file, suffix });
  } catch {
    return file;
  }
}

/** Where a record was and is not, nothing new is begun in silence. */
function requireNeverWas(dataDir: string): void {
  const file = recordFileIn(dataDir);
  const [aside] = asideBeside(file, ['.damaged-', '.replaced-']);
  const left = aside ?? (holdsBytes(`${file}-wal`) ? `${file}-wal` : null) ?? newestBackup(dataDir);
  if (left === null) return;
  const message =
    `There is no record ${file}, but there was one: ${left} is still there. ${undoWords(dataDir)} ` +
    'To begin an empty record instead, move it (and the folder of backups) elsewhere first.';
  throw new Fault({ code: 'store-damaged', message, details: { left } });
}

function undoWords(dataDir: string): string {
  const newest = newestBackup(dataDir);
  if (newest === null) return 'There is no backup of it in the data folder.';
  return `Put the newest good backup back with: strikewell restore ${newest}`;
}

function newestBackup(dataDir: string): string | null {
  const folder = backupFolder(dataDir);
  const finished = folder.list().filter(({ verified }) => verified);
  const newest = finished.toSorted((a, b) => b.atMs - a.atMs)[0];
  return newest === undefined ? null : folder.pathOf(newest.name);
}
