import { Fault } from '../../../shared/faults.ts';
import { lockDataDir } from '../../adapters/sqlite/file/lock.ts';
import { systemClock } from '../../adapters/system/clock.ts';
import { holdsBytes } from '../../adapters/system/files/aside.ts';
import { openDataDir } from '../../adapters/system/files/files.ts';
import type { Settings } from '../../config.ts';
import type { Store } from '../../ports.ts';
import { openRecord, recordFileIn } from '../record-file.ts';
import { openNothing, openToRead } from './record-exchange.ts';

/** A dry run reads only, so a daemon may run; before there is a record it is held against an empty one. */
export async function beside<T>(settings: Settings, work: (store: Store) => Promise<T>): Promise<T> {
  const store = holdsBytes(recordFileIn(settings.dataDir)) ? openToRead(settings) : openNothing();
  try {
    return await work(store);
  } finally {
    store.close();
  }
}

/**
 * A daemon holds the record in memory, so nothing is written beside it: the file goes to the daemon instead.
 * @param address of the route that takes the file there
 */
export async function locked<T>(
  settings: Settings,
  address: string,
  work: (store: Store) => Promise<T>,
): Promise<T> {
  const { dataDir } = settings;
  openDataDir(dataDir);
  const lock = lockedFor(settings, address);
  try {
    const { store } = openRecord({ dataDir, nowMs: systemClock.nowMs() });
    try {
      return await work(store);
    } finally {
      store.close();
    }
  } finally {
    lock.release();
  }
}

function lockedFor({ dataDir, httpPort }: Settings, address: string): { release(): void } {
  try {
    return lockDataDir(dataDir);
  } catch (cause) {
    if (!(cause instanceof Fault) || cause.code !== 'data-dir-in-use') throw cause;
    const message =
      `${cause.message} Or give the file to the running one, which takes the same words as parameters: ` +
      `curl -X POST -T FILE "http://127.0.0.1:${httpPort}${address}"`;
    throw new Fault({ code: cause.code, message, details: cause.details, cause });
  }
}
