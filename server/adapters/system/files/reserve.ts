import { randomFillSync } from 'node:crypto';
import { closeSync, fsyncSync, openSync, rmSync, statfsSync, statSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import type { Reserve } from '../../../ports.ts';

const NAME = 'strikewell.reserve';
const MOST_BYTES = 8 * 1024 * 1024;
const CHUNK_BYTES = 64 * 1024;
/** On a small disk no more than this part of it is held back. */
const PART = 8;
/** With less space than this beyond the reserve a disk counts as full: 1 MiB, on a small disk this part of it. */
const LEAST_FREE_BYTES = 1024 * 1024;
const LEAST_FREE_PART = 64;

/**
 * A file in the data folder that holds back 8 MiB, or an eighth of a smaller disk. Its bytes are random, so that they
 * take real blocks on file systems that compress or leave holes.
 */
export function reserveFile(dataDir: string): Reserve {
  const path = join(dataDir, NAME);
  let givenUp = false;
  const bytes = () => statSync(path, { throwIfNoEntry: false })?.size ?? 0;
  return {
    giveUp() {
      if (bytes() === 0) return;
      remove(path);
      givenUp = bytes() === 0;
    },
    restore() {
      const { freeBytes, wantedBytes, leastFreeBytes } = diskOf(dataDir);
      if (bytes() >= wantedBytes) return freeBytes >= leastFreeBytes;
      if (freeBytes < wantedBytes + leastFreeBytes) return !givenUp && freeBytes >= leastFreeBytes;
      const made = make(path, wantedBytes);
      givenUp &&= !made;
      return made;
    },
    facts: () => ({ bytes: bytes(), wantedBytes: diskOf(dataDir).wantedBytes, givenUp }),
  };
}

function diskOf(folder: string) {
  const { bavail, blocks, bsize } = statfsSync(folder);
  const wanted = Math.min(MOST_BYTES, (blocks * bsize) / PART);
  return {
    freeBytes: bavail * bsize,
    wantedBytes: Math.floor(wanted / CHUNK_BYTES) * CHUNK_BYTES,
    leastFreeBytes: Math.min(LEAST_FREE_BYTES, (blocks * bsize) / LEAST_FREE_PART),
  };
}

/** @returns false where the disk refused it; nothing of it is left then */
function make(path: string, wantedBytes: number): boolean {
  let fd: number | null = null;
  try {
    fd = openSync(path, 'w', 0o600);
    const chunk = new Uint8Array(CHUNK_BYTES);
    for (let at = 0; at < wantedBytes; ) at += writeSync(fd, randomFillSync(chunk));
    fsyncSync(fd);
    return true;
  } catch {
    remove(path);
    return false;
  } finally {
    if (fd !== null) closeSync(fd);
  }
}

function remove(path: string): void {
  try {
    rmSync(path, { force: true });
  } catch {
    // a read-only disk keeps it: there is nothing to be gained there
  }
}
