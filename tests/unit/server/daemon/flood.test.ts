import { expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import type { Carrier } from '../../../../server/ports.ts';
import { clockByHand } from '../support/hand.ts';
import { databaseFile, START_MS, startHouse } from '../support/house.ts';

/**
 * Fourteen benches through the real daemon on a real database. By hand: a root zone of 31 °C is too hot after 2 min
 * (high); one of 12 °C, 9.1 K below its band of 21.1 °C, spends its 120 min 2^(9.1/2) = 23.4 times as fast and is announced
 * after 5.1 min (medium).
 */
const SECOND_MS = 1_000;
const MINUTE_MS = 60_000;
const BENCHES = Array.from({ length: 14 }, (_, i) => `b${i + 1}`);

function keptHouse() {
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const took: { type: string; subject: string; alarms: number; atS: number }[] = [];
  const carrier: Carrier = {
    send(_method, { body }) {
      const { type, data } = JSON.parse(body);
      const atS = (hand.clock.nowMs() - START_MS) / SECOND_MS;
      took.push({ type, subject: data.subject, alarms: data.alarms?.length ?? 1, atS });
      return Promise.resolve({ delivered: true });
    },
  };
  const start = () => startHouse({ store, hand, carrier, webhookUrl: null });
  let house = start();
  const robin = house.daemon.people.add({ name: 'Robin', quiet: null });
  house.daemon.people.addContactMethod(robin.id, { kind: 'mail', address: 'robin@bench.example' });
  const settle = () => new Promise<void>((resolve) => setImmediate(resolve));
  /** why messages were held back, as alarms show it */
  const heldWhy = new Set<string>();
  const noteHeld = () => {
    const { queries, people } = house.daemon;
    for (const { id } of queries.alarms()) for (const { why } of people.held(id)) heldWhy.add(why);
  };
  /** All benches at a temperature, read every 30 s and each some seconds after the one before. */
  const hold = async (rootC: (bench: number) => number, lastsMs: number, restarts = false) => {
    for (let passedMs = 0; passedMs < lastsMs; passedMs += 30 * SECOND_MS) {
      for (const [i, device] of BENCHES.entries()) {
        await house.report([{ n: 'root/temperature', u: 'Cel', v: rootC(i) }], device);
        if (house.daemon.world.places.get(device)?.settings.questionsOpen)
          house.daemon.orders.patchPlace(device, { settings: { questionsOpen: false } });
        hand.pass(SECOND_MS);
        await settle();
      }
      for (let k = 0; k < 16; k += 1) {
        hand.pass(SECOND_MS);
        await settle();
      }
      noteHeld();
      if (!restarts) continue;
      house.daemon.stop();
      house = start();
    }
  };
  return { now: () => house, hold, took, heldWhy };
}

test('14 root zones go cold at once: the first ten and the one that makes it a flood are announced one by one, the others together once a minute; a high alarm in between goes out by itself', async () => {
  const { now, hold, took, heldWhy } = keptHouse();
  await hold(() => 23.5, 5 * MINUTE_MS);
  expect([...heldWhy]).toEqual([]);
  expect(now().daemon.queries.house().flood).toBeNull();
  await hold((bench) => (bench === 13 ? 31 : 12), 7 * MINUTE_MS);
  const house = now().daemon.queries.house();
  expect(house.flood).toMatchObject({ told: 14, byPriority: { high: 1, medium: 13, low: 0 } });
  expect(house.flood?.first.rule).toBe('root-too-hot');
  expect(house.flood?.byPlace).toHaveLength(14);
  const raised = took.filter(({ type }) => type === 'alarm.raised');
  const collected = took.filter(({ type }) => type === 'alarm.gathered');
  // the high one and nine of medium priority make ten; the eleventh makes the flood and is held already
  expect(raised).toHaveLength(10);
  expect(collected.map(({ alarms, subject }) => [alarms, subject])).toEqual([
    [4, '4 alarms at once: look at the page'],
  ]);
  expect((collected[0]?.atS ?? 0) % 60).toBeLessThan(5);
  expect([...heldWhy]).toEqual(['many-alarms']);
});

test('the same is sent when the daemon is started again every 30 s, nothing twice', async () => {
  const once = keptHouse();
  const again = keptHouse();
  for (const [one, restarts] of [
    [once, false],
    [again, true],
  ] as const) {
    await one.hold(() => 23.5, 5 * MINUTE_MS, restarts);
    await one.hold((bench) => (bench === 13 ? 31 : 12), 7 * MINUTE_MS, restarts);
    await one.hold(() => 23.5, 16 * MINUTE_MS, restarts);
  }
  // which way a value went before a start is not known after it
  const sentTo = (house: typeof once) =>
    house.took
      .map(({ type, subject, alarms }) => `${type} ${alarms} ${subject.replace(/, rising.*$/, '.')}`)
      .toSorted();
  expect(sentTo(again)).toEqual(sentTo(once));
  expect(again.now().daemon.queries.house().flood).toBeNull();
  // thirteen are over too: sent in as few messages
  expect(once.took.filter(({ type }) => type === 'alarm.gathered').length).toBeGreaterThan(1);
});
