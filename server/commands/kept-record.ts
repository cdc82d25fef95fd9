import { Fault } from '../../shared/faults.ts';
import { holderWords, lockDataDir, lockHolder } from '../adapters/sqlite/lock.ts';
import { openUnwritable } from '../adapters/sqlite/unwritable.ts';
import { holdsBytes } from '../adapters/system/aside.ts';
import { openDataDir } from '../adapters/system/files.ts';
import { reserveFile } from '../adapters/system/reserve.ts';
import { type Emergency, openEmergency } from '../daemon/emergency/emergency.ts';
import type { Clock, Log, RecordStore, Timers } from '../ports.ts';
import { openRecord, recordFileIn } from './record-file.ts';

type Lock = { release(): void };

/**
 * Opens and locks a data folder. One that cannot be written is gone on with where a record lies in it: it can be
 * read, and whoever could write beside us cannot either.
 * @throws Fault `data-dir-unwritable` where there is no record; `data-dir-in-use`
 */
export function takeDataDir(dataDir: string): Lock {
  return (
    unlessUnwritable(dataDir, () => {
      openDataDir(dataDir);
      return lockDataDir(dataDir);
    }) ?? { release: () => undefined }
  );
}

/** @returns null where the folder cannot be written and there is a record to be read */
function unlessUnwritable(dataDir: string, take: () => Lock): Lock | null {
  try {
    return take();
  } catch (cause) {
    const unwritable = cause instanceof Fault && cause.code === 'data-dir-unwritable';
    if (!unwritable || !holdsBytes(recordFileIn(dataDir))) throw cause;
    const holder = lockHolder(dataDir);
    if (holder !== null) {
      const message = `STRIKEWELL_DATA_DIR "${dataDir}" is in use by ${holderWords(holder)}: Strikewell runs on it already.`;
      const details = { key: 'STRIKEWELL_DATA_DIR', pid: holder.pid };
      throw new Fault({ code: 'data-dir-in-use', message, details });
    }
    reserveFile(dataDir).giveUp();
    return retried(take);
  }
}

/** With the reserve given up a full disk may take the lock. */
function retried(take: () => Lock): Lock | null {
  try {
    return take();
  } catch (cause) {
    if (cause instanceof Fault && cause.code === 'data-dir-unwritable') return null;
    throw cause;
  }
}

/** A record with what goes on in memory while it cannot be written. */
export type KeptRecord = {
  readonly record: RecordStore;
  readonly emergency: Emergency;
  readonly checked: boolean;
};

/**
 * Opens the record of a data folder; one that cannot be opened for writing is read, and memory stands in for it.
 * @throws Fault `store-damaged`, `store-failed`
 */
export function openKeptRecord({ dataDir, ...edges }: OpenDeps): KeptRecord {
  const reserve = reserveFile(dataDir);
  const open = () => openRecord({ dataDir, nowMs: edges.clock.nowMs() });
  const {
    store: record,
    checked,
    why,
  } = openedInAnyCase({ dataDir, open, ...edges }, () => reserve.giveUp());
  const reopen = why === null ? null : { open: () => open().store, why };
  const emergency = openEmergency({ record, reopen, reserve, ...edges });
  emergency.turn();
  return { record, emergency, checked };
}

type OpenDeps = {
  readonly dataDir: string;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
};
type Opening = OpenDeps & { readonly open: () => { store: RecordStore; checked: boolean } };
type Opened = { readonly store: RecordStore; readonly checked: boolean; readonly why: string | null };

function openedInAnyCase({ open, dataDir, clock }: Opening, makeRoom: () => void): Opened {
  const file = recordFileIn(dataDir);
  const isThere = holdsBytes(file);
  try {
    return { ...open(), why: null };
  } catch (cause) {
    if (!isThere || !isRefusal(cause)) throw cause;
  }
  makeRoom();
  try {
    return { ...open(), why: null };
  } catch (cause) {
    if (!isRefusal(cause)) throw cause;
    const store = openUnwritable({ file, nowMs: clock.nowMs() });
    return { store, checked: true, why: cause.message };
  }
}

function isRefusal(cause: unknown): cause is Fault {
  return cause instanceof Fault && cause.code === 'store-failed';
}
