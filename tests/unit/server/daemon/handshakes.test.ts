import { expect, test } from 'vitest';
import type { RawMessage } from '../../../../server/ports.ts';
import { storeOnDisk } from '../support/full-disk.ts';
import { airRecord, packOf, startHouse } from '../support/house.ts';

test('a message of QoS 2 that comes again and again, while the disk is full and after, is stored once', async () => {
  const { disk, store } = storeOnDisk();
  const house = startHouse({ store });
  const came = (id: number, mayRepeat: boolean): RawMessage => ({
    ...packOf([airRecord(21)], { arrivedAtMs: house.hand.clock.nowMs() }),
    handshake: { key: `bench-1/${id}`, content: 'digest', mayRepeat },
  });
  const stored = () => {
    const probeIds = store.probes.all().map(({ id }) => id);
    const windows = store.journal.window({ probeIds, fromMs: 0, toMs: house.hand.clock.nowMs() });
    return windows.reduce((sum, { timesMs }) => sum + timesMs.length, 0);
  };
  await house.send(came(1, false));
  disk.full = true;
  for (let second = 0; second < 5; second += 1) {
    house.hand.pass(1_000);
    await expect(house.send(came(2, second > 0))).rejects.toThrow('has to come again');
  }
  // stored before the disk was full, and its handshake ends now
  house.daemon.inbox.over('bench-1/1');
  await expect(house.send(came(2, true))).rejects.toThrow('has to come again');
  disk.full = false;
  house.hand.pass(6_000);
  expect(stored()).toBe(2);
  await house.send(came(2, true));
  expect(stored()).toBe(2);
  expect(store.handshakes.all().map(({ key }) => key)).toEqual(['bench-1/2']);
});
