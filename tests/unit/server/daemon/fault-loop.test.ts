import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { World } from '../../../../server/daemon/world.ts';
import type { RawMessage } from '../../../../server/ports.ts';
import { Fault } from '../../../../shared/faults.ts';
import { contentsOf, failingStore } from '../support/failing-store.ts';
import { airRecord, databaseFile, packOf, START_MS, startHouse } from '../support/house.ts';

/** A receiver that never answers: messages to people stay in the outbox as they were put. */
const nobody = { send: () => new Promise<never>(() => undefined) };

/** A house on a database that can be made to fail. */
function openHouse() {
  const file = databaseFile();
  const failing = failingStore(openStore({ file, nowMs: START_MS }));
  return { file, failing, house: startHouse({ store: failing.store, carrier: nobody }) };
}
type Opened = ReturnType<typeof openHouse>;

/** One group: a new device whose air was at 30 °C for 61 s, which raises its alarm; a bad pack; another new device. */
const GROUP: readonly RawMessage[] = [
  packOf([airRecord(30, { ageS: 61 }), airRecord(30), { n: 'root/temperature', u: 'Cel', v: 22 }]),
  packOf([{ n: 'air/temperature', v: 20 }]),
  packOf([airRecord(21)], { device: 'dome' }),
];
/** Writes it takes: 2 places, 2 targets, 3 probes, 4 readings, 1 refusal, 2 saves, 1 event, 1 message, 1 calling. */
const WRITES = 17;

async function offerAll({ house }: Opened, group: readonly RawMessage[]): Promise<string[]> {
  const all = Promise.allSettled(group.map((message) => house.daemon.inbox.offer(message)));
  house.hand.settle();
  return (await all).map(({ status }) => status);
}

function inMemory({ places, probes, heard, alarms }: World) {
  const listed = [places, probes, heard, alarms].map((map) => [...map]);
  return listed.map((entries) => entries.toSorted(([a], [b]) => (String(a) < String(b) ? -1 : 1)));
}

function expectAsAfterRestart({ house, failing }: Opened): void {
  expect(inMemory(house.daemon.world)).toEqual(inMemory(new World(failing.store)));
}

describe('a group of 3 messages of which 1 raises an alarm', () => {
  test(`takes ${WRITES} writes and leaves 2 places, 1 group of readings, 1 refusal, 1 event and 1 message`, async () => {
    const opened = openHouse();
    opened.failing.failAt(1_000);
    expect(await offerAll(opened, GROUP)).toEqual(['fulfilled', 'fulfilled', 'fulfilled']);
    expect(opened.failing.writes()).toBe(WRITES);
    const kept = contentsOf(opened.file);
    const counts = ['place', 'journal', 'refused', 'alarm_event', 'outbox'].map(
      (table) => kept[table]?.length,
    );
    expect(counts).toEqual([2, 1, 1, 1, 1]);
  });

  test.each(Array.from({ length: WRITES + 1 }, (_, n) => n))(
    'whose write %i fails (0: the commit) leaves nothing, refuses all 3, and is taken whole the next time',
    async (n) => {
      const opened = openHouse();
      const { file, failing, house } = opened;
      const before = contentsOf(file);
      failing.failAt(n);
      expect(await offerAll(opened, GROUP)).toEqual(['rejected', 'rejected', 'rejected']);
      expect(contentsOf(file)).toEqual(before);
      expectAsAfterRestart(opened);
      // that the record cannot be written, and that the group was not acknowledged
      expect(house.log.lines.map(({ level }) => level)).toEqual(['error', 'error']);
      expect(house.told).toEqual([]);

      failing.mend();
      expect(await offerAll(opened, GROUP)).toEqual(['fulfilled', 'fulfilled', 'fulfilled']);
      const never = openHouse();
      await offerAll(never, GROUP);
      expect(contentsOf(file)).toEqual(contentsOf(never.file));
      expect(inMemory(house.daemon.world)).toEqual(inMemory(never.house.daemon.world));
    },
  );

  test.each([0, 1, 2, 3, 4, 5])(
    'that comes after another, its write %i failing, leaves what was there',
    async (n) => {
      const opened = openHouse();
      await offerAll(opened, GROUP);
      opened.house.hand.pass(30_000);
      const before = contentsOf(opened.file);
      opened.failing.failAt(n);
      const arrivedAtMs = START_MS + 30_000;
      const later = [packOf([airRecord(20), airRecord(21, { probe: '/2' })], { arrivedAtMs })];
      expect(await offerAll(opened, later)).toEqual(['rejected']);
      expect(contentsOf(opened.file)).toEqual(before);
      expectAsAfterRestart(opened);
    },
  );
});

describe('what people order while the disk is full', () => {
  const ALARM = 'bench-1.air-over-ceiling';
  type Order = (opened: Opened) => unknown;
  const orders: readonly (readonly [string, number, Order])[] = [
    ['acknowledge', 2, ({ house }) => house.daemon.orders.acknowledge(ALARM)],
    ['shelve', 2, ({ house }) => house.daemon.orders.shelve(ALARM, { minutes: 5, reason: 'cover off' })],
    ['patch', 1, ({ house }) => house.daemon.orders.patchPlace('bench-1', { name: 'Bench' })],
    [
      'log a vent',
      1,
      ({ house }) => house.daemon.orders.logVent('bench-1', { fromMs: START_MS, toMs: null, note: null }),
    ],
    [
      'targets',
      1,
      ({ house }) => {
        const targets = house.daemon.queries.targets('bench-1');
        house.daemon.orders.setTargets('bench-1', { targets, fromMs: null });
      },
    ],
  ];
  const attempts = orders.flatMap(([name, writes, order]) =>
    Array.from({ length: writes + 1 }, (_, n) => ({ name, n, order })),
  );

  test.each(attempts)(
    '$name with write $n failing is refused with store-failed and changes nothing',
    async ({ n, order }) => {
      const opened = openHouse();
      await offerAll(opened, GROUP);
      const before = contentsOf(opened.file);
      opened.failing.failAt(n);
      let fault: unknown = null;
      try {
        order(opened);
      } catch (cause) {
        fault = cause;
      }
      expect(fault).toBeInstanceOf(Fault);
      expect(fault).toMatchObject({ code: 'store-failed' });
      expect(contentsOf(opened.file)).toEqual(before);
      expectAsAfterRestart(opened);
      opened.failing.mend();
      expect(() => order(opened)).not.toThrow();
    },
  );
});

describe('time that passes while the disk is full', () => {
  test.each([0, 1, 2, 3])(
    'write %i of the turn failing, the daemon lives and raises the alarm when it can',
    async (n) => {
      const opened = openHouse();
      const { house, failing } = opened;
      await offerAll(opened, [packOf([airRecord(30)])]);
      failing.failAt(n);
      expect(() => house.hand.pass(60_000)).not.toThrow();
      expect(house.log.lines.filter(({ level }) => level === 'error').length).toBeGreaterThan(0);
      expectAsAfterRestart(opened);
      failing.mend();
      house.hand.pass(2_000);
      const [alarm] = house.daemon.queries.alarms();
      expect(alarm).toMatchObject({ rule: 'air-over-ceiling', state: 'unacknowledged' });
      const kept = contentsOf(opened.file);
      expect([kept['alarm_event']?.length, kept['outbox']?.length]).toEqual([1, 1]);
    },
  );
});
