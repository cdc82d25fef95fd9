import { expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import type { RecordStore } from '../../../../server/ports.ts';
import { Fault } from '../../../../shared/faults.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../support/house.ts';

/** A store on a disk that can be full: whatever is committed is then refused, as the real one refuses it. */
function storeOnDisk() {
  const inner = openStore({ file: databaseFile(), nowMs: START_MS });
  const disk = { full: false, sent: 0 };
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

test('a full disk is a fact of the house from the first refusal until a try, every 5 s, is taken', async () => {
  const { disk, store } = storeOnDisk();
  const house = startHouse({ store });
  const facts = () => house.daemon.queries.house().store;
  await house.tell([airRecord(20)]);
  expect(facts()).toEqual({ writable: true, since: null });
  disk.full = true;
  house.hand.pass(1_000);
  await expect(house.tell([airRecord(21)])).rejects.toThrow('full');
  const since = new Date(START_MS + 1_000).toISOString();
  expect(facts()).toEqual({ writable: false, since });
  house.hand.pass(30_000);
  await expect(house.tell([airRecord(22)])).rejects.toThrow('full');
  expect(facts()).toEqual({ writable: false, since });
  expect(house.told.filter(({ kind }) => kind === 'house').at(-1)?.what).toMatchObject({ store: facts() });
  disk.full = false;
  house.hand.pass(5_000);
  expect(facts()).toEqual({ writable: true, since: null });
  await house.tell([airRecord(23)]);
});

test('an alarm whose sending cannot be noted goes out once, not every second, while the disk is full for 60 s', async () => {
  const { disk, store } = storeOnDisk();
  let sent = 0;
  const carrier = {
    send: async () => {
      sent += 1;
      disk.full = true;
      return { taken: true } as const;
    },
  };
  const house = startHouse({ store, carrier });
  await house.tell([airRecord(30, { ageS: 61 }), airRecord(30)]);
  const settle = () => new Promise<void>((resolve) => setImmediate(resolve));
  for (let second = 0; second < 60; second += 1) {
    house.hand.pass(1_000);
    await settle();
  }
  expect(sent).toBe(1);
});

test('a mistake of ours in the middle of a transaction is no full disk', () => {
  const { store } = storeOnDisk();
  const house = startHouse({ store });
  const thrown = () => {
    throw new RangeError('ours');
  };
  expect(() => store.transaction(thrown)).toThrow('ours');
  expect(house.daemon.queries.house().store.writable).toBe(true);
});

test('who watches is told of a message that came to a full disk that it was not kept, and of the next that it was', async () => {
  const { disk, store } = storeOnDisk();
  const house = startHouse({ store });
  house.daemon.hearing.watch();
  disk.full = true;
  await expect(house.tell([airRecord(21)])).rejects.toThrow('full');
  house.hand.pass(300);
  disk.full = false;
  house.hand.pass(6_000);
  await house.tell([airRecord(21)]);
  expect(house.daemon.hearing.watched({ afterId: 0 }).messages.map(({ verdict }) => verdict)).toMatchObject([
    {
      outcome: 'unkept',
      lines: [
        expect.stringContaining('would be stored'),
        expect.any(String),
        expect.stringContaining('cannot be written now'),
      ],
    },
    { outcome: 'stored' },
  ]);
});
