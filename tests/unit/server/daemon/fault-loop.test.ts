import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { World } from '../../../../server/daemon/world/world.ts';
import type { RawMessage, Store } from '../../../../server/ports.ts';
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
  packOf([airRecord(22)], { device: 'dome' }),
];
/** Writes it takes: 2 places, 2 targets, 3 probes, 4 readings, 1 refusal, 2 saves, 1 event, 1 message, 1 calling. */
const WRITES = 17;

async function offerAll({ house }: Opened, group: readonly RawMessage[]): Promise<string[]> {
  const all = Promise.allSettled(group.map((message) => house.daemon.inbox.offer(message)));
  house.hand.settle();
  return (await all).map(({ status }) => status);
}

/** What counts of the world: places, probes, newest readings, and the state of each alarm. */
function inMemory({ places, probes, latest, alarms }: World) {
  const newest = [...latest].map(([id, { tMs, value }]) => [id, tMs, value]);
  const deviation = [...alarms.values()]
    .filter(({ raisedAtMs }) => raisedAtMs !== null)
    .map(({ id, state, raisedAtMs, acknowledgedAtMs, shelved }) => [
      id,
      state,
      raisedAtMs,
      acknowledgedAtMs,
      shelved,
    ]);
  const ordered = (rows: unknown[]) => rows.map((row) => JSON.stringify(row)).sort();
  return [[...places], [...probes], newest, deviation].map(ordered);
}

/** The disk takes what is written again, and the next try finds that out. */
function mend({ failing, house }: Opened): void {
  failing.mend();
  house.hand.pass(5_000);
  expect(house.daemon.queries.house().store).toEqual({ writable: true, since: null });
}

function raisedIn(house: Opened['house']): string[] {
  const raised = house.daemon.queries.alarms().filter(({ state }) => state === 'unacknowledged');
  return raised.map(({ id }) => id).sort();
}

/** How many readings there are, and their values by probe. */
function storedReadings({ journal, probes }: Store): [number, number[]] {
  const [fromMs, toMs] = [START_MS - 3_600_000, START_MS + 3_600_000];
  const all = probes
    .all()
    .toSorted((a, b) => (a.device + a.name < b.device + b.name ? 1 : -1))
    .flatMap(({ id }) => [...(journal.window({ probeIds: [id], fromMs, toMs })[0]?.values ?? [])]);
  return [all.length, all];
}

function happened(kept: Record<string, unknown[]>): string[] {
  return (kept['alarm_event'] ?? []).map((row) => (row as { transition: string }).transition);
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
    'whose write %i fails (0: every commit) is judged and not acknowledged, calls once, and is stored once it comes again',
    async (n) => {
      const opened = openHouse();
      const { file, failing, house } = opened;
      failing.failAt(n);
      expect(await offerAll(opened, GROUP)).toEqual(['rejected', 'rejected', 'rejected']);
      expect(contentsOf(file)['journal']).toEqual([]);
      expect(raisedIn(house)).toEqual(['bench-1.air-over-ceiling']);
      house.hand.pass(1_000);
      expect(raisedIn(house)).toEqual(['bench-1.air-over-ceiling', 'house.record-not-writable']);

      expect(await offerAll(opened, GROUP)).toEqual(['rejected', 'rejected', 'rejected']);
      mend(opened);
      expect(await offerAll(opened, GROUP)).toEqual(['fulfilled', 'fulfilled', 'fulfilled']);
      const kept = contentsOf(file);
      expect(storedReadings(failing.store)).toEqual([4, [22, 22, 30, 30]]);
      expect([kept['place'], kept['probe'], kept['refused']].map((rows) => rows?.length)).toEqual([2, 3, 1]);
      expect(happened(kept)).toEqual(['raised', 'raised', 'returned']);
      expectAsAfterRestart(opened);
    },
  );

  test.each([0, 1, 2, 3, 4, 5])(
    'that comes after another, its write %i failing, is stored once it comes again',
    async (n) => {
      const opened = openHouse();
      await offerAll(opened, GROUP);
      opened.house.hand.pass(30_000);
      const before = contentsOf(opened.file)['journal'];
      opened.failing.failAt(n);
      const arrivedAtMs = START_MS + 30_000;
      const later = [packOf([airRecord(20), airRecord(21, { probe: '/2' })], { arrivedAtMs })];
      expect(await offerAll(opened, later)).toEqual(['rejected']);
      expect(contentsOf(opened.file)['journal']).toEqual(before);
      mend(opened);
      expect(await offerAll(opened, later)).toEqual(['fulfilled']);
      expectAsAfterRestart(opened);
    },
  );
});

describe('what people order while the disk is full', () => {
  const ALARM = 'bench-1.air-over-ceiling';
  type Order = (opened: Opened) => unknown;
  const orders: readonly (readonly [string, number, Order])[] = [
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
      expect(() => order(opened)).toThrow(Fault);
      mend(opened);
      expect(() => order(opened)).not.toThrow();
      expectAsAfterRestart(opened);
    },
  );

  const answers: readonly (readonly [string, string, Order])[] = [
    ['acknowledge', 'acknowledged', ({ house }) => house.daemon.orders.acknowledge(ALARM)],
    [
      'shelve',
      'shelved',
      ({ house }) => house.daemon.orders.shelve(ALARM, { minutes: 5, reason: 'cover off' }),
    ],
  ];
  test.each(
    answers.flatMap(([name, transition, order]) => [0, 1, 2].map((n) => ({ name, n, transition, order }))),
  )(
    '$name with write $n failing counts at once, and is in the record once that can be written',
    async ({ n, transition, order }) => {
      const opened = openHouse();
      await offerAll(opened, GROUP);
      opened.failing.failAt(n);
      order(opened);
      expect(opened.house.daemon.queries.house().store.writable).toBe(false);
      const alarm = () => opened.house.daemon.queries.alarms().find(({ id }) => id === ALARM);
      const after = alarm();
      expect(after).not.toMatchObject({ state: 'unacknowledged', suppressed: null });
      mend(opened);
      expect(happened(contentsOf(opened.file))).toContain(transition);
      expectAsAfterRestart(opened);
    },
  );
});

describe('time that passes while the disk is full', () => {
  test.each([0, 1, 2, 3])(
    'write %i of the turn failing, the alarm is raised in time and is in the record once',
    async (n) => {
      const opened = openHouse();
      const { house, failing } = opened;
      await offerAll(opened, [packOf([airRecord(30)])]);
      failing.failAt(n);
      expect(() => house.hand.pass(60_200)).not.toThrow();
      expect(raisedIn(house)).toContain('bench-1.air-over-ceiling');
      mend(opened);
      const events = (contentsOf(opened.file)['alarm_event'] ?? []) as { alarm_id: string }[];
      expect(events.filter(({ alarm_id }) => alarm_id === 'bench-1.air-over-ceiling')).toHaveLength(1);
      expectAsAfterRestart(opened);
    },
  );
});
