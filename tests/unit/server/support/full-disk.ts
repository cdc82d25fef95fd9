import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import type { RecordStore } from '../../../../server/ports.ts';
import { Fault } from '../../../../shared/faults.ts';
import { databaseFile, START_MS } from './house.ts';

/** A store on a disk that can be full: whatever is committed is then refused, as the real one refuses it. */
export function storeOnDisk(
  inner = openStore({ file: databaseFile(), nowMs: START_MS }),
  disk = { full: false },
) {
  const requireRoom = () => {
    if (disk.full) throw new Fault({ code: 'store-failed', message: 'database or disk is full' });
  };
  const store: RecordStore = {
    ...inner,
    outbox: {
      ...inner.outbox,
      sent(id, atMs) {
        requireRoom();
        inner.outbox.sent(id, atMs);
      },
      failed(failure) {
        requireRoom();
        inner.outbox.failed(failure);
      },
    },
    transaction: (work) =>
      inner.transaction(() => {
        const result = work();
        requireRoom();
        return result;
      }),
    touch() {
      requireRoom();
      inner.touch();
    },
  };
  return { disk, store };
}
