import { chmodSync, type Dirent, lstatSync, readdirSync } from 'node:fs';
import { join } from 'node:path';

const FOLDER_MODE = 0o700;
const FILE_MODE = 0o600;
/** What others than the owner may do. */
const OTHERS = 0o077;
const BACKUPS = 'backups';

/** What had to be done so that nobody else reads a data folder; paths. */
type Privacy = {
  /** now for their owner alone */
  readonly changed: readonly string[];
  /** of another owner, or on a file system without modes: others may still read them */
  readonly open: readonly string[];
};

/** Makes what this process writes from now on readable by its owner alone. */
export function writePrivately(): void {
  process.umask(OTHERS);
}

/**
 * Makes a data folder, its files and its backups readable by their owner alone: 0700 and 0600. Folders of somebody
 * else's making in it, and what links point at, stay as they are. Opens no file, so that no lock is let go.
 */
export function makePrivate(dataDir: string): Privacy {
  const changed: string[] = [];
  const open: string[] = [];
  const backups = join(dataDir, BACKUPS);
  for (const path of [dataDir, ...filesIn(dataDir), backups, ...filesIn(backups)]) {
    const became = tightened(path);
    if (became === 'changed') changed.push(path);
    if (became === 'open') open.push(path);
  }
  return { changed, open };
}

/** What there is to say of it: at most one line of each kind. */
export function privacyLines({ changed, open }: Privacy): { changed: string | null; open: string | null } {
  const others = 'could be read by others on this computer';
  return {
    changed:
      changed.length === 0 ? null : `${named(changed)} ${others}: now only by the user Strikewell runs as`,
    open:
      open.length === 0
        ? null
        : `${named(open)} may be read by others: another user owns it, or this disk keeps no permissions. ` +
          'Let the user Strikewell runs as own the data folder, on a disk that keeps permissions',
  };
}

function named(paths: readonly string[]): string {
  const [first = ''] = paths;
  return paths.length === 1 ? first : `${first} and ${paths.length - 1} more`;
}

function filesIn(folder: string): string[] {
  try {
    const entries: Dirent[] = readdirSync(folder, { withFileTypes: true });
    return entries.filter((entry) => entry.isFile()).map(({ name }) => join(folder, name));
  } catch {
    return [];
  }
}

function tightened(path: string): 'as-it-was' | 'changed' | 'open' {
  const found = lstatSync(path, { throwIfNoEntry: false });
  if (found === undefined || found.isSymbolicLink()) return 'as-it-was';
  if (found.uid !== process.getuid?.()) return process.getuid === undefined ? 'as-it-was' : 'open';
  if ((found.mode & OTHERS) === 0) return 'as-it-was';
  try {
    chmodSync(path, found.isDirectory() ? FOLDER_MODE : FILE_MODE);
  } catch {
    return 'open';
  }
  // a disk without modes takes the order and does nothing
  const now = lstatSync(path, { throwIfNoEntry: false });
  return now === undefined || (now.mode & OTHERS) === 0 ? 'changed' : 'open';
}
