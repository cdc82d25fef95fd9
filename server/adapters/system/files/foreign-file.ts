import {
  closeSync,
  constants,
  existsSync,
  fstatSync,
  fsyncSync,
  openSync,
  readSync,
  writeSync,
} from 'node:fs';
import { Fault } from '../../../../shared/faults.ts';

const STEP_BYTES = 1024 * 1024;

/** How far a copy has come, per cent. */
type OnProgress = (pct: number) => void;

/**
 * Copies a file that somebody handed over, with the write-ahead log beside it, if it is a plain file: neither a link,
 * which may point at what was never meant, nor a pipe or device, which may never end.
 * @param to must be new; so must what lies beside it
 * @throws Fault `bad-backup`
 */
export function copyForeign({ from, to }: { from: string; to: string }, onProgress: OnProgress): void {
  copyPlain({ from, to }, onProgress);
  if (existsSync(`${from}-wal`)) copyPlain({ from: `${from}-wal`, to: `${to}-wal` }, () => undefined);
}

function copyPlain({ from, to }: { from: string; to: string }, onProgress: OnProgress): void {
  const source = openPlain(from);
  try {
    const { size } = fstatSync(source);
    const target = openSync(to, 'wx', 0o600);
    try {
      copyBytes({ source, target, size }, onProgress);
      fsyncSync(target);
    } finally {
      closeSync(target);
    }
  } finally {
    closeSync(source);
  }
}

function openPlain(path: string): number {
  let fd: number;
  try {
    // without waiting: a pipe would wait for somebody who writes into it
    fd = openSync(path, constants.O_RDONLY | constants.O_NOFOLLOW | constants.O_NONBLOCK);
  } catch (cause) {
    const code = cause instanceof Error && 'code' in cause ? cause.code : null;
    if (code === 'ELOOP') throw unfit(path, 'it is a symbolic link. Name the file itself');
    throw unfit(path, cause instanceof Error ? cause.message : String(cause));
  }
  if (fstatSync(fd).isFile()) return fd;
  closeSync(fd);
  throw unfit(path, 'it is no plain file');
}

type Bytes = { readonly source: number; readonly target: number; readonly size: number };

/** No more than the file held when it was opened: it may grow as fast as it is read. */
function copyBytes({ source, target, size }: Bytes, onProgress: OnProgress): void {
  const step = Buffer.alloc(STEP_BYTES);
  for (let at = 0; at < size; ) {
    const read = readSync(source, step, 0, Math.min(STEP_BYTES, size - at), at);
    if (read === 0) return;
    for (let written = 0; written < read; ) written += writeSync(target, step, written, read - written);
    at += read;
    onProgress((at / size) * 100);
  }
}

function unfit(path: string, why: string): Fault {
  const message = `${path} cannot be restored: ${why}. Nothing was changed.`;
  return new Fault({ code: 'bad-backup', message });
}
