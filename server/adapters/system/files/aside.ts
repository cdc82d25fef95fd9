import {
  closeSync,
  existsSync,
  fsyncSync,
  openSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';

/** What SQLite keeps beside a database: its write-ahead log may hold what the file does not. */
const BESIDE = ['-wal', '-shm'] as const;

/**
 * Moves a database file out of the way under another name in its folder, with all that belongs to it, unchanged.
 * @param suffix what is put behind its name, with a number where that is taken
 * @returns the path it has now
 */
export function setAside({ file, suffix }: { file: string; suffix: string }): string {
  let aside = `${file}${suffix}`;
  for (let n = 2; existsSync(aside); n++) aside = `${file}${suffix}-${n}`;
  // the file first: its log without it keeps a start from making a new record, the file without its log would not
  for (const beside of ['', ...BESIDE]) {
    if (existsSync(`${file}${beside}`)) renameSync(`${file}${beside}`, `${aside}${beside}`);
  }
  syncFolder(dirname(file));
  return aside;
}

/** Removes a copy of our own making, with what SQLite kept beside it. */
export function removeCopy(file: string): void {
  for (const path of [file, ...BESIDE.map((beside) => `${file}${beside}`)]) rmSync(path, { force: true });
}

/** Gives a file its name at last, durably. */
export function putInPlace({ from, to }: { from: string; to: string }): void {
  syncFile(from);
  renameSync(from, to);
  syncFolder(dirname(to));
}

/** True when something is there that holds more than nothing: a power cut leaves empty files. */
export function holdsBytes(path: string): boolean {
  return (statSync(path, { throwIfNoEntry: false })?.size ?? 0) > 0;
}

/** What was set aside beside a database file under any of these suffixes. */
export function asideBeside(file: string, suffixes: readonly string[]): string[] {
  const starts = suffixes.map((suffix) => `${basename(file)}${suffix}`);
  return namesIn(dirname(file))
    .filter((found) => starts.some((start) => found.startsWith(start)))
    .filter((found) => !BESIDE.some((beside) => found.endsWith(beside)))
    .map((found) => join(dirname(file), found));
}

/** Names in a folder; none when there is no such folder. */
export function namesIn(folder: string): string[] {
  return existsSync(folder) ? readdirSync(folder) : [];
}

/** A rename is on the disk only when its folder is. */
function syncFolder(folder: string): void {
  syncFile(folder, 'r');
}

function syncFile(path: string, flag = 'r+'): void {
  const fd = openSync(path, flag);
  try {
    fsyncSync(fd);
  } finally {
    closeSync(fd);
  }
}
