import { spawnSync } from 'node:child_process';
import { existsSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Child, startChild } from './child.ts';
import { LAUNCHER } from './command.ts';
import { plainEnvironment } from './environment.ts';

export type SmallDisk = {
  readonly child: Child;
  /** the data folder as this process reaches it */
  readonly dataDir: string;
  /** leaves no room for what is written next */
  fill(): void;
  /** gives the room back */
  free(): void;
  /** makes a disk that is read-only writable */
  remount(): void;
};

/** A disk that holds a record already: the folder it is copied from, and how the daemon finds the disk. */
export type PreparedDisk = { readonly from: string; readonly as: 'full' | 'read-only' };

export type SmallDiskKind = 'a file system of 6 MB of its own' | 'a limit on the size of files';

const MOUNTED = '/proc/self/mountinfo';

/** How a process may be given a mount of its own here: as root, or as root of a user namespace. */
function unshareArgs(): readonly string[] | null {
  const methods = [['-m'], ['-r', '-m']];
  const works = (method: readonly string[]) =>
    spawnSync('unshare', [...method, 'sh', '-c', 'mount -t tmpfs tmpfs /mnt'], { env: plainEnvironment() })
      .status === 0;
  return existsSync(MOUNTED) ? (methods.find(works) ?? null) : null;
}

const unshare = unshareArgs();

/** The ways to run out of room that this machine allows; the limit always is one. */
export const SMALL_DISKS: readonly SmallDiskKind[] = [
  ...(unshare === null ? [] : (['a file system of 6 MB of its own'] as const)),
  'a limit on the size of files',
];

/**
 * Starts the daemon where room on the disk can be taken away and given back.
 *
 * @param options the kind of disk, an empty folder, and the settings but for the data folder
 * @returns the daemon's process, which may not be ready yet
 */
export function startOnSmallDisk(options: {
  readonly kind: SmallDiskKind;
  readonly folder: string;
  readonly settings: Readonly<Record<string, string>>;
  readonly prepared?: PreparedDisk;
}): SmallDisk {
  const { kind, folder, settings, prepared } = options;
  const env = plainEnvironment({ ...settings, STRIKEWELL_DATA_DIR: folder });
  const serve = [process.execPath, LAUNCHER, 'serve'];
  if (kind === 'a limit on the size of files') {
    const child = startChild({ command: process.execPath, args: serve.slice(1), env });
    return { child, dataDir: folder, ...fileLimit(child.pid), remount: () => undefined };
  }
  const mount = `mount -t tmpfs -o size=${prepared === undefined ? 6 : 24}m tmpfs "$0" && ${PREPARE[prepared?.as ?? 'empty']} exec "$@"`;
  const args = [...(unshare ?? []), 'sh', '-c', mount, folder, ...serve];
  const from = prepared === undefined ? {} : { FROM: prepared.from };
  const child = startChild({ command: 'unshare', args, env: { ...env, ...from } });
  const dataDir = `/proc/${child.pid}/root${folder}`;
  const remount = () => {
    const enter = [
      '-t',
      String(child.pid),
      ...(unshare?.includes('-r') ? ['-U', '--preserve-credentials'] : []),
    ];
    const { status, stderr } = spawnSync('nsenter', [...enter, '-m', 'mount', '-o', 'remount,rw', folder]);
    if (status !== 0) throw new Error(`remounting failed: ${String(stderr)}`);
  };
  return { child, dataDir, ...filler(join(dataDir, 'filler')), remount };
}

/** What is done in the shell before the daemon is started, by how it is to find the disk. */
const PREPARE = {
  empty: '',
  full: 'cp -a "$FROM/." "$0" && { cat /dev/zero > "$0/filler"; true; } &&',
  'read-only': 'cp -a "$FROM/." "$0" && mount -o remount,ro "$0" &&',
} as const;

function filler(path: string): Pick<SmallDisk, 'fill' | 'free'> {
  return {
    fill() {
      for (const bytes of [65_536, 4_096]) {
        try {
          for (;;) writeFileSync(path, new Uint8Array(bytes), { flag: 'a' });
        } catch (cause) {
          if (!(cause instanceof Error && 'code' in cause && cause.code === 'ENOSPC')) throw cause;
        }
      }
      if (statSync(path).size === 0) throw new Error('the disk was full before it was filled');
    },
    free: () => rmSync(path),
  };
}

/** No file may grow, or be written, beyond 4 KiB: what a full disk does, and needs no rights. */
function fileLimit(pid: number): Pick<SmallDisk, 'fill' | 'free'> {
  const limit = (soft: string) => {
    const { status, stderr } = spawnSync('prlimit', ['--pid', String(pid), `--fsize=${soft}:unlimited`]);
    if (status !== 0) throw new Error(`prlimit failed: ${String(stderr)}`);
  };
  return { fill: () => limit('4096'), free: () => limit('unlimited') };
}
