import { expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import type { Carrier } from '../../../../../server/ports.ts';
import { heldWords } from '../../../../../shared/words/calls.ts';
import { clockByHand } from '../../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../../support/house.ts';

/** A message that is held back is shown where alarms show who was called: until when, and why. The clock begins at 10:00 UTC. */
const MINUTE_MS = 60_000;
const ID = 'bench-1.air-over-ceiling';

function quietHouse() {
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  store.people.setMorningSheetDay('2026-06-01');
  const said: string[] = [];
  const carrier: Carrier = {
    send(method, { body }) {
      said.push(`${method.kind === 'mail' ? method.address.split('@')[0] : ''} ${JSON.parse(body).type}`);
      return Promise.resolve({ delivered: true });
    },
  };
  const house = startHouse({ store, hand, carrier, webhookUrl: null });
  const { people, orders } = house.daemon;
  const add = (name: string, quiet: { from: string; to: string } | null) => {
    const { id } = people.add({ name, quiet });
    people.addContactMethod(id, { kind: 'mail', address: `${name.toLowerCase()}@bench.example` });
    return id;
  };
  const hold = async (valueC: number, minutes: number) => {
    for (let minute = 0; minute < minutes; minute++) {
      await house.report([airRecord(valueC)]);
      hand.pass(MINUTE_MS);
      await new Promise<void>((resolve) => setImmediate(resolve));
    }
  };
  const withPriority = async (priority: 'high' | 'medium' | 'low') => {
    await hold(22, 1);
    const alarms = { 'air-over-ceiling': { priority, onDelayMs: 0, offDelayMs: 0 } };
    orders.patchPlace('bench-1', { settings: { alarms } });
  };
  const held = () =>
    people
      .held(ID)
      .map(({ until, ...one }) =>
        heldWords(
          { ...one, untilMs: Date.parse(until) },
          { unit: 'C', timeZone: 'UTC', nowMs: hand.clock.nowMs() },
        ),
      );
  return { house, add, hold, withPriority, held, said };
}

test('an alarm of medium priority in Robin’s quiet hours is held until they end at 11:00, and then sent', async () => {
  const { add, hold, withPriority, held, said } = quietHouse();
  add('Robin', { from: '09:00', to: '11:00' });
  add('Sam', null);
  await withPriority('medium');
  await hold(28, 2);
  expect(held()).toEqual(['Held until 11:00: quiet hours of Robin']);
  expect(said).toEqual([]);
  await hold(28, 12);
  // Sam comes after 10 min, and has no quiet hours
  expect(said).toEqual(['sam alarm.raised']);
  expect(held()).toEqual(['Held until 11:00: quiet hours of Robin']);
  await hold(28, 48);
  expect(said).toContain('robin alarm.raised');
  expect(held()).toEqual([]);
});

test('one of high priority is held back by nobody’s quiet hours', async () => {
  const { add, hold, withPriority, held, said } = quietHouse();
  add('Robin', { from: '09:00', to: '11:00' });
  await withPriority('high');
  await hold(28, 1);
  expect([said, held()]).toEqual([['robin alarm.raised'], []]);
});

test('one of low priority waits for the morning sheet of tomorrow, to the first person, after their quiet hours', async () => {
  const { house, add, hold, withPriority, held, said } = quietHouse();
  const robin = add('Robin', null);
  add('Sam', null);
  await withPriority('low');
  await hold(28, 2);
  expect(held()).toEqual(['In the morning sheet at 07:00 on Tue 2 Jun, to Robin']);
  house.daemon.people.update(robin, { name: 'Robin', quiet: { from: '22:00', to: '08:15' } });
  expect(held()).toEqual(['In the morning sheet at 08:15 on Tue 2 Jun, to Robin']);
  expect(said).toEqual([]);
  house.daemon.orders.acknowledge(ID);
  expect(held()).toEqual([]);
});

test('that somebody else acknowledged, and that it is over, is held until the quiet hours of who was called end', async () => {
  const { house, add, hold, withPriority, held, said } = quietHouse();
  add('Robin', { from: '10:05', to: '10:30' });
  add('Sam', null);
  await withPriority('medium');
  await hold(28, 5);
  house.daemon.orders.acknowledge(ID, { by: 'Sam' });
  await hold(28, 1);
  expect(held()).toEqual(['Held until 10:30: quiet hours of Robin']);
  await hold(22, 2);
  expect(held()).toEqual(['Held until 10:30: quiet hours of Robin']);
  await hold(22, 25);
  expect(said).toEqual(['robin alarm.raised', 'robin alarm.returned']);
  expect(held()).toEqual([]);
});

test('a shelved alarm holds no message back: none is to be sent', async () => {
  const { house, add, hold, withPriority, held } = quietHouse();
  add('Robin', { from: '09:00', to: '11:00' });
  await withPriority('medium');
  await hold(28, 1);
  house.daemon.orders.shelve(ID, { minutes: 30, reason: 'cover off' });
  expect(held()).toEqual([]);
});
