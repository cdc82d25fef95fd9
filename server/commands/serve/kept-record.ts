import { Fault } from '../../../shared/faults.ts';
import { holderWords, lockDataDir, lockHolder } from '../../adapters/sqlite/file/lock.ts';
import { openUnwritable } from '../../adapters/sqlite/unwritable.ts';
import { holdsBytes } from '../../adapters/system/files/aside.ts';
import { openDataDir, takesWrites } from '../../adapters/system/files/files.ts';
import { type Emergency, type EmergencyDeps, openEmergency } from '../../daemon/emergency/emergency.ts';
import type { Clock, Log, RecordStore, Reserve, Timers } from '../../ports.ts';
import { openRecord, recordFileIn } from '../record-file.ts';

type Lock = { release(): void };

/**
 * Opens and locks a data folder. One that cannot be written is gone on with where a record lies in it: it can be
 * read, and whoever could write beside us cannot either.
 * @throws Fault `data-dir-unwritable` where there is no record; `data-dir-in-use`
 */
export function takeDataDir(dataDir: string, reserve: Reserve): Lock {
  const take = () => {
    openDataDir(dataDir);
    return lockDataDir(dataDir);
  };
  try {
    return take();
  } catch (cause) {
    if (!isUnwritable(cause) || !holdsBytes(recordFileIn(dataDir))) throw cause;
    reserve.giveUp();
    requireUnused(dataDir);
    return takenAgain(take);
  }
}

function requireUnused(dataDir: string): void {
  const holder = lockHolder(dataDir);
  if (holder === null) return;
  const message = `STRIKEWELL_DATA_DIR "${dataDir}" is in use by ${holderWords(holder)}: Strikewell runs on it already.`;
  const details = { key: 'STRIKEWELL_DATA_DIR', pid: holder.pid };
  throw new Fault({ code: 'data-dir-in-use', message, details });
}

/** With the reserve given up a full disk may take the lock. */
function takenAgain(take: () => Lock): Lock {
  try {
    return take();
  } catch (cause) {
    if (isUnwritable(cause)) return { release: () => undefined };
    throw cause;
  }
}

function isUnwritable(cause: unknown): boolean {
  return cause instanceof Fault && cause.code === 'data-dir-unwritable';
}

/** A record with what goes on in memory while it cannot be written. */
type KeptRecord = {
  readonly record: RecordStore;
  readonly emergency: Emergency;
  readonly checked: boolean;
};

/**
 * Opens the record of a data folder; one that cannot be opened for writing is read, and memory stands in for it.
 * @throws Fault `store-damaged`, `store-failed`
 */
export function openKeptRecord({ dataDir, reserve, ...edges }: OpenDeps): KeptRecord {
  const file = recordFileIn(dataDir);
  const open = () => openWritable({ dataDir, nowMs: edges.clock.nowMs() });
  const isThere = holdsBytes(file);
  const withEmergency = (record: RecordStore, atStart: EmergencyDeps['atStart']) =>
    openEmergency({ record, atStart: atStart ?? null, reserve, ...edges });
  try {
    const { store: record, checked } = open();
    const full = !reserve.restore() && reserve.facts().givenUp;
    const emergency = withEmergency(record, full ? { why: 'the disk is full', again: null } : null);
    return { record, emergency, checked };
  } catch (cause) {
    if (!isThere || !isRefusal(cause)) throw cause;
    edges.log.warn('the record cannot be opened for writing', { error: cause.message });
    reserve.giveUp();
    const { record, again } = openedAgain({ dataDir, open, nowMs: edges.clock.nowMs() });
    const emergency = withEmergency(record, { why: cause.message, again });
    return { record, emergency, checked: true };
  }
}

/** Opens a record and writes to it: one on a read-only disk would open all the same, and never be written. */
function openWritable(of: { dataDir: string; nowMs: number }) {
  const opened = openRecord(of);
  try {
    opened.store.touch();
    return opened;
  } catch (cause) {
    opened.store.close();
    throw cause;
  }
}

type OpenDeps = {
  readonly dataDir: string;
  readonly reserve: Reserve;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
};
type Opening = {
  readonly dataDir: string;
  readonly open: () => { readonly store: RecordStore };
  readonly nowMs: number;
};

/** With the reserve given up a full disk may take what opening writes; otherwise the record is read. */
function openedAgain({ dataDir, open, nowMs }: Opening) {
  try {
    return { record: open().store, again: null };
  } catch (cause) {
    if (!isRefusal(cause)) throw cause;
    const read = () => openUnwritable({ file: recordFileIn(dataDir), nowMs });
    const again = { mayWrite: () => takesWrites(dataDir), write: () => open().store, read };
    return { record: read(), again };
  }
}

function isRefusal(cause: unknown): cause is Fault {
  return cause instanceof Fault && cause.code === 'store-failed';
}
