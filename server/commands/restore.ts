import { Fault } from '../../shared/faults.ts';
import { endAllSessions } from '../adapters/sqlite/access.ts';
import { sizeOf } from '../adapters/sqlite/check.ts';
import { proveRestorable } from '../adapters/sqlite/copy.ts';
import { lockDataDir } from '../adapters/sqlite/lock.ts';
import { copyWithLog, holdsBytes, putInPlace, removeCopy, setAside } from '../adapters/system/aside.ts';
import { systemClock } from '../adapters/system/clock.ts';
import { freeBytes } from '../adapters/system/disk.ts';
import { openDataDir } from '../adapters/system/files.ts';
import { stampOf } from '../domain/backups/name.ts';
import type { Command } from './command.ts';
import { recordFileIn } from './record-file.ts';

/** Puts a backup in the place of the record; the record that was there is moved aside and kept. */
export const restore: Command = {
  summary: 'put a backup in the place of the record; the old record is kept beside it',
  usage: 'FILE [--overwrite] [--config FILE]',
  options: { overwrite: { type: 'boolean' } },
  async run({ settings, values, words, say }) {
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
      const { aside } = restoreInto({ dataDir, from, overwrite: values['overwrite'] === true });
      say(`Restored ${from} as ${recordFileIn(dataDir)}.`);
      if (aside !== null) say(`What was there before is kept as ${aside}.`);
      return { code: 0 };
    } finally {
      lock.release();
    }
  },
};

type Restoring = { readonly dataDir: string; readonly from: string; readonly overwrite: boolean };

function restoreInto({ dataDir, from, overwrite }: Restoring): { aside: string | null } {
  const file = recordFileIn(dataDir);
  const inPlace = holdsBytes(file);
  if (inPlace && !overwrite) {
    throw badRequest(
      `There is a record ${file} already. Add --overwrite to put "${from}" in its place; the record is then ` +
        'moved aside and kept. Nothing was changed.',
    );
  }
  const copy = `${file}.restoring`;
  removeCopy(copy);
  try {
    requireRoom({ from, dataDir });
    copyWithLog({ from, to: copy });
    proveRestorable({ file: copy, named: from });
    // a session that was ended since must not come to life again
    endAllSessions(copy);
    const suffix = `.replaced-${stampOf(systemClock.nowMs())}`;
    // a log alone, or an empty file, would be taken for part of the restored record
    const aside = setAside({ file, suffix });
    putInPlace({ from: copy, to: file });
    return { aside: inPlace ? aside : null };
  } finally {
    removeCopy(copy);
  }
}

function requireRoom({ from, dataDir }: { from: string; dataDir: string }): void {
  const { databaseBytes, walBytes } = sizeOf(from);
  if (freeBytes(dataDir) > databaseBytes + walBytes) return;
  const message = `"${from}" does not fit on the disk of ${dataDir}. Make room; nothing was changed.`;
  throw new Fault({ code: 'bad-backup', message });
}

function badRequest(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}

function badBackup(message: string): Fault {
  return new Fault({ code: 'bad-backup', message });
}
