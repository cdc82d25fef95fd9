import { existsSync, mkdirSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import type { BackupFile, BackupFolder } from '../../../domain/backups/backup-service.ts';
import { backupTimeMs, partialName, partialOf } from '../../../domain/backups/name.ts';
import { isAlive } from '../processes.ts';
import { namesIn, putInPlace } from './aside.ts';

const FOLDER = 'backups';
/** After this long without a write, an unfinished backup is nobody's, ms: numbers of processes are given again. */
const IDLE_LIMIT_MS = 86_400_000;

/** The folder of backups in the data folder. A finished backup has a name of its own; an unfinished one never has. */
export function backupFolder(dataDir: string): BackupFolder {
  const folder = join(dataDir, FOLDER);
  const pathOf = (name: string) => join(folder, name);
  const partialPath = (name: string) => pathOf(partialName({ name, pid: process.pid }));
  return {
    pathOf,
    list: () => namesIn(folder).flatMap((name) => fileOf(name, pathOf(name))),
    begin(name) {
      mkdirSync(folder, { recursive: true, mode: 0o700 });
      return partialPath(name);
    },
    finish: (name) => putInPlace({ from: partialPath(name), to: pathOf(name) }),
    remove: (name) => rmSync(pathOf(name), { force: true }),
    abandon(name) {
      for (const beside of ['', '-journal', '-wal', '-shm'])
        rmSync(`${partialPath(name)}${beside}`, { force: true });
    },
    sweep() {
      for (const name of namesIn(folder)) if (isLeftOver(name, pathOf(name))) rmSync(pathOf(name));
    },
  };
}

/** True for what a backup left that came to no end: its writer is dead, or has been still for a day. */
function isLeftOver(name: string, path: string): boolean {
  const partial = partialOf(name.replace(/-(journal|wal|shm)$/, ''));
  if (partial === null) return false;
  const idleMs = Date.now() - (statSync(path, { throwIfNoEntry: false })?.mtimeMs ?? 0);
  return partial.pid === process.pid || !isAlive(partial.pid) || idleMs > IDLE_LIMIT_MS;
}

/** A finished backup, or an unfinished one by the time it was begun; nothing for any other file. */
function fileOf(name: string, path: string): BackupFile[] {
  const atMs = backupTimeMs(partialOf(name)?.name ?? name);
  if (atMs === null || !existsSync(path)) return [];
  const bytes = statSync(path, { throwIfNoEntry: false })?.size ?? 0;
  return [{ name, atMs, bytes, verified: partialOf(name) === null }];
}
