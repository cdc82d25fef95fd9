import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import type { Carrier } from '../../../../server/ports.ts';
import { clockByHand } from '../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../support/house.ts';

const MINUTE_MS = 60_000;
const ID = 'bench-1.air-over-ceiling';
type Kill = { readonly atHandover: number; readonly delivered: boolean };

/**
 * The overnight story, played minute by minute: over the ceiling for 12 min, acknowledged, back in band. At one handover
 * the daemon dies, before or after the receiver took the message, and another starts on the same record.
 *
 * @returns what receivers took, in order
 */
async function playStory(kill: Kill | null): Promise<string[]> {
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const took: string[] = [];
  let handovers = 0;
  let dead = false;
  const carrier: Carrier = {
    send(method, { key, body }) {
      if (dead) return new Promise<never>(() => undefined);
      handovers += 1;
      const dies = kill?.atHandover === handovers;
      const to = method.kind === 'mail' ? method.address : method.kind;
      if (!dies || kill.delivered) took.push(`${to} ${JSON.parse(body).type} ${key}`);
      if (!dies) return Promise.resolve({ delivered: true });
      dead = true;
      return new Promise<never>(() => undefined);
    },
  };
  const start = () => startHouse({ store, hand, carrier, webhookUrl: 'http://127.0.0.1:1/' });
  let house = start();
  for (const [name, address] of [
    ['Robin', 'robin@bench.example'],
    ['Sam', 'sam@bench.example'],
  ] as const) {
    const { id } = house.daemon.people.add({ name, quiet: null });
    house.daemon.people.addContactMethod(id, { kind: 'mail', address });
  }
  const settle = async () => {
    for (let turn = 0; turn < 3; turn++) await new Promise<void>((resolve) => setImmediate(resolve));
    if (!dead) return;
    house.daemon.stop();
    dead = false;
    house = start();
  };
  const minute = async (valueC: number) => {
    await house.report([airRecord(valueC)]);
    await settle();
    for (let second = 0; second < 60; second += 10) {
      hand.pass(MINUTE_MS / 6);
      await settle();
    }
  };
  for (let k = 0; k < 12; k++) await minute(30);
  house.daemon.orders.acknowledge(ID, { by: 'Sam' });
  for (let k = 0; k < 4; k++) await minute(22);
  house.daemon.stop();
  store.close();
  return took;
}

describe('a daemon that dies at any handover of the overnight story', async () => {
  const whole = await playStory(null);

  test('undisturbed, the webhook is sent 2 messages, Robin 5 and Sam 2', () => {
    const counts = ['webhook', 'robin', 'sam'].map(
      (who) => whole.filter((one) => one.startsWith(who)).length,
    );
    expect(counts).toEqual([2, 5, 2]);
    expect(new Set(whole).size).toBe(9);
  });

  test.each(Array.from({ length: 9 }, (_, k) => k + 1))(
    'the %ith: nothing is lost; not delivered before, it is sent once, delivered before, twice under the same id',
    async (atHandover) => {
      const lost = await playStory({ atHandover, delivered: false });
      expect(lost.toSorted()).toEqual(whole.toSorted());
      const twice = await playStory({ atHandover, delivered: true });
      expect([...new Set(twice)].toSorted()).toEqual(whole.toSorted());
      expect(twice).toHaveLength(whole.length + 1);
    },
  );
});
