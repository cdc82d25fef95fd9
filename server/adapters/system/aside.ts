import {
  closeSync,
  constants,
  copyFileSync,
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
 * @param suffix what is put behind its name; must be new
 * @returns the path it has now
 */
export function setAside({ file, suffix }: { file: string; suffix: string }): string {
  const aside = `${file}${suffix}`;
  // the file first: its log without it keeps a start from making a new record, the file without its log would not
  for (const beside of ['', ...BESIDE]) {
    if (existsSync(`${file}${beside}`)) renameSync(`${file}${beside}`, `${aside}${beside}`);
  }
  syncFolder(dirname(file));
  return aside;
}

/** Copies a database file with its log, durably; `to` must be new. */
export function copyWithLog({ from, to }: { from: string; to: string }): void {
  copyFileSync(from, to, constants.COPYFILE_EXCL);
  if (existsSync(`${from}-wal`)) copyFileSync(`${from}-wal`, `${to}-wal`, constants.COPYFILE_EXCL);
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

/** Damaged records set aside beside a database file, by name, oldest first. */
export function damagedBeside(file: string): string[] {
  const name = `${basename(file)}.damaged-`;
  return namesIn(dirname(file))
    .filter((found) => found.startsWith(name) && !BESIDE.some((beside) => found.endsWith(beside)))
    .sort()
    .map((found) => join(dirname(file), found));
}

/** Names in a folder; none when there is no such folder. */
export function namesIn(folder: string): string[] {
  return existsSync(folder) ? readdirSync(folder) : [];
}

/** A rename is on the disk only when its folder is. */
export function syncFolder(folder: string): void {
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
