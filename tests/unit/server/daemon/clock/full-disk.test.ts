import { expect, it } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import type { RecordStore } from '../../../../../server/ports.ts';
import { Fault } from '../../../../../shared/faults.ts';
import { clockByHand } from '../../support/hand.ts';
import { airRecord, databaseFile, type House, START_MS, startHouse } from '../../support/house.ts';

const MINUTE_MS = 60_000;
const YEAR_MS = 365 * 86_400_000;
const SHELVED = 'bench-1.air-far-over-ceiling';

/** A record that refuses every commit while its disk is full. */
function storeOnDisk() {
  const inner = openStore({ file: databaseFile(), nowMs: START_MS });
  const disk = { full: false };
  const requireRoom = () => {
    if (disk.full) throw new Fault({ code: 'store-failed', message: 'database or disk is full' });
  };
  const store: RecordStore = {
    ...inner,
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

/** Air that stays over its ceiling for a time; what came to a full disk is not acknowledged, and comes no more. */
async function heat(house: House, forMs: number): Promise<void> {
  for (let passedMs = 0; passedMs < forMs; passedMs += 10_000) {
    await house.report([airRecord(48)]).catch(() => undefined);
    house.hand.pass(10_000);
  }
}

it.each([
  { when: 'while the disk is full for a minute already', fullForMs: MINUTE_MS },
  { when: 'in the second in which the disk becomes full', fullForMs: 0 },
])(
  'a clock set ahead by a year $when moves what waits by a year, in the record too once it can be written',
  async ({ fullForMs }) => {
    const { disk, store } = storeOnDisk();
    const hand = clockByHand(START_MS);
    const house = startHouse({ hand, store });
    await heat(house, 2 * MINUTE_MS);
    house.daemon.orders.shelve(SHELVED, { minutes: 60, reason: 'moved out' });
    const untilMs = () => house.daemon.world.alarms.get(SHELVED)?.shelved?.untilMs;
    const keptMs = () => store.alarms.all().find(({ id }) => id === SHELVED)?.shelved?.untilMs;
    const before = untilMs() ?? 0;
    expect(before).toBe(START_MS + 62 * MINUTE_MS);
    disk.full = true;
    if (fullForMs > 0) await heat(house, fullForMs);
    hand.jump(YEAR_MS);
    hand.pass(2_000);
    expect(house.daemon.queries.house().store.writable).toBe(false);
    expect([untilMs(), keptMs()]).toEqual([before + YEAR_MS, before]);
    disk.full = false;
    hand.pass(MINUTE_MS);
    expect(house.daemon.queries.house().store.writable).toBe(true);
    expect([untilMs(), keptMs()]).toEqual([before + YEAR_MS, before + YEAR_MS]);
    expect(house.store.clock.jumps(9)).toMatchObject([{ byMs: YEAR_MS }]);
    hand.pass(62 * MINUTE_MS);
    expect(untilMs()).toBeUndefined();
  },
);
