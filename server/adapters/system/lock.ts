import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Fault } from '../../../shared/faults.ts';

const LOCK = 'strikewell.lock';

/** A process, told from any other that gets its number later; the last two are null where the system does not tell. */
type Holder = { readonly pid: number; readonly bootId: string | null; readonly startedTicks: string | null };

/**
 * Takes the data folder for this process alone, until the lock is released or the process ends. What a dead
 * process left behind does not count.
 * @throws Fault `data-dir-in-use` naming the process that holds it; `data-dir-unwritable`
 */
export function lockDataDir(dataDir: string): { release(): void } {
  const path = join(dataDir, LOCK);
  const mine = JSON.stringify(holderOf(process.pid));
  if (!written(path, mine)) {
    const pid = lockHolder(dataDir);
    if (pid !== null) throw inUse(dataDir, pid);
    rmSync(path, { force: true });
    if (!written(path, mine)) throw inUse(dataDir, lockHolder(dataDir));
  }
  return {
    release() {
      if (textOf(path) === mine) rmSync(path, { force: true });
    },
  };
}

/** The living process that holds the data folder, or null. */
export function lockHolder(dataDir: string): number | null {
  const holder = read(join(dataDir, LOCK));
  if (holder === null || holder.pid === process.pid || !isAlive(holder.pid)) return null;
  const now = holderOf(holder.pid);
  const same = now.bootId === holder.bootId && now.startedTicks === holder.startedTicks;
  return same ? holder.pid : null;
}

/** True while a process of this number runs, whoever owns it. */
export function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (cause) {
    return cause instanceof Error && 'code' in cause && cause.code === 'EPERM';
  }
}

function written(path: string, text: string): boolean {
  try {
    writeFileSync(path, text, { flag: 'wx' });
    return true;
  } catch (cause) {
    if (cause instanceof Error && 'code' in cause && cause.code === 'EEXIST') return false;
    const why = cause instanceof Error ? cause.message : String(cause);
    const message = `STRIKEWELL_DATA_DIR cannot be written: ${why}. Make room, or choose another folder.`;
    throw new Fault({ code: 'data-dir-unwritable', message, details: { key: 'STRIKEWELL_DATA_DIR' }, cause });
  }
}

function inUse(dataDir: string, pid: number | null): Fault {
  const message =
    `STRIKEWELL_DATA_DIR "${dataDir}" is in use by ${pid === null ? 'another process' : `process ${pid}`}: ` +
    'Strikewell runs on it already. Stop that one, or choose another folder.';
  return new Fault({ code: 'data-dir-in-use', message, details: { key: 'STRIKEWELL_DATA_DIR', pid } });
}

function read(path: string): Holder | null {
  try {
    const { pid, bootId, startedTicks } = JSON.parse(textOf(path) ?? '') as Partial<Holder>;
    return Number.isSafeInteger(pid) && pid !== undefined && pid > 0
      ? { pid, bootId: bootId ?? null, startedTicks: startedTicks ?? null }
      : null;
  } catch {
    return null;
  }
}

function textOf(path: string): string | null {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return null;
  }
}

/** Linux tells when a process started (field 22 of its stat, behind the name in brackets) and in which boot. */
function holderOf(pid: number): Holder {
  const stat = textOf(`/proc/${pid}/stat`);
  const fields = stat?.slice(stat.lastIndexOf(')') + 2).split(' ') ?? [];
  const bootId = textOf('/proc/sys/kernel/random/boot_id')?.trim() ?? null;
  return { pid, bootId, startedTicks: fields[19] ?? null };
}
