import {
  accessSync,
  constants,
  existsSync,
  mkdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { Fault } from '../../../../shared/faults.ts';
import type { Keep } from '../../../ports.ts';

/** Enough for what SQLite writes beside a database when it is opened. */
const PROBE_BYTES = 128 * 1024;

/**
 * Makes the data folder when it is missing, for its owner's eyes alone: it holds what is kept of passwords.
 * @throws Fault `data-dir-unwritable`
 */
export function openDataDir(dataDir: string): void {
  try {
    mkdirSync(dataDir, { recursive: true, mode: 0o700 });
    accessSync(dataDir, constants.W_OK | constants.X_OK);
  } catch (cause) {
    const why = cause instanceof Error ? cause.message : String(cause);
    const message = `STRIKEWELL_DATA_DIR "${dataDir}" cannot be written: ${why}. Choose a folder you may write to.`;
    throw new Fault({ code: 'data-dir-unwritable', message, details: { key: 'STRIKEWELL_DATA_DIR' }, cause });
  }
}

/** Whether a folder may be written, without writing to it; one that is not there yet counts as writable. */
export function mayBeWritten(folder: string): boolean {
  try {
    if (existsSync(folder)) accessSync(folder, constants.W_OK | constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

/** Whether a folder takes what is written, found out by writing a little. */
export function takesWrites(folder: string): boolean {
  const path = join(folder, 'strikewell.probe');
  try {
    writeFileSync(path, new Uint8Array(PROBE_BYTES), { mode: 0o600 });
    return true;
  } catch {
    return false;
  } finally {
    if (existsSync(path)) rmSync(path, { force: true });
  }
}

/**
 * The text of a file a setting names.
 * @throws Fault `bad-setting` when it cannot be read
 */
export function readNamedFile({ key, path }: { key: string; path: string }): Buffer {
  try {
    return readFileSync(path);
  } catch (cause) {
    const why = cause instanceof Error ? cause.message : String(cause);
    const message = `${key} names the file "${path}", which cannot be read: ${why}.`;
    throw new Fault({ code: 'bad-setting', message, details: { key }, cause });
  }
}

/** Small notes in the data folder, each replaced whole or not at all; some are secrets, so only their owner reads them. */
export function fileKeep(dataDir: string): Keep {
  const pathOf = (name: string) => join(dataDir, `${name}.json`);
  return {
    read(name) {
      try {
        return readFileSync(pathOf(name), 'utf8');
      } catch (cause) {
        if (cause instanceof Error && 'code' in cause && cause.code === 'ENOENT') return null;
        throw cause;
      }
    },
    write(name, text) {
      const fresh = `${pathOf(name)}.new`;
      try {
        writeFileSync(fresh, text, { mode: 0o600 });
        renameSync(fresh, pathOf(name));
      } catch (cause) {
        if (existsSync(fresh)) rmSync(fresh, { force: true });
        throw cause;
      }
    },
    remove: (name) => rmSync(pathOf(name), { force: true }),
  };
}
