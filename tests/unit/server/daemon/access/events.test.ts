import { expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { createEvents, FOLD_MS, MAX_FOLDED } from '../../../../../server/daemon/access/events.ts';
import type { AccessRecord } from '../../../../../server/ports.ts';
import { Fault } from '../../../../../shared/faults.ts';
import { MAX_EVENTS_OF_A_CLASS } from '../../../../../shared/model/people/access-event.ts';
import { clockByHand } from '../../support/hand.ts';
import { databaseFile } from '../../support/house.ts';

const ALL = { limit: 2 * MAX_EVENTS_OF_A_CLASS, beforeId: null };

function eventsOn() {
  const store = openStore({ file: databaseFile(), nowMs: 0 });
  const hand = clockByHand(0);
  let writes = 0;
  let full = false;
  const record: AccessRecord = {
    ...store.access,
    addAccessEvents(events) {
      if (full) throw new Fault({ code: 'store-failed', message: 'database or disk is full' });
      writes += 1;
      store.access.addAccessEvents(events);
    },
  };
  const events = createEvents({ record, clock: hand.clock });
  const setFull = (isFull: boolean) => {
    full = isFull;
  };
  return { events, hand, setFull, record, writes: () => writes };
}

const refusal = (address: string) => ({ kind: 'sign-in-refused' as const, who: 'owner', address });

test('600 wrong passwords from 100 addresses within a minute are 2 writes and 22 rows, none of them uncounted', () => {
  const { events, hand, writes } = eventsOn();
  for (let i = 0; i < 600; i++) {
    events.note(refusal(`192.0.2.${i % 100}`));
    hand.pass(50);
    events.settle('due');
  }
  hand.pass(FOLD_MS);
  events.settle('due');
  expect(writes()).toBe(2);
  const rows = events.events(ALL).events;
  expect(rows).toHaveLength(MAX_FOLDED + 2);
  expect(rows.reduce((sum, { count }) => sum + count, 0)).toBe(600);
  // the first was written at once, 20 addresses have 6 each, and the other 479 share a row without a name
  expect(rows.find(({ address }) => address === 'several')).toMatchObject({ count: 479, who: null });
  expect(rows.filter(({ count }) => count === 6)).toHaveLength(20);
});

test('a household of IPv6 addresses shares a row', () => {
  const { events } = eventsOn();
  for (const tail of ['1', '2', '3', '4']) events.note(refusal(`2001:db8:1:2::${tail}`));
  expect(events.events(ALL).events.map(({ count }) => count)).toEqual([3, 1]);
});

test('each class keeps its newest 1000 rows: guessing pushes out no change', () => {
  const { events, record } = eventsOn();
  events.note({ kind: 'account-added', who: 'owner', whom: 'Helper', address: '127.0.0.1', note: 'tend' });
  const row = { firstMs: 1, atMs: 1, count: 1, who: null, whom: null, address: null, note: null };
  const many = Array.from({ length: MAX_EVENTS_OF_A_CLASS + 50 }, () => ({
    ...row,
    kind: 'sign-in-refused' as const,
  }));
  record.addAccessEvents(many);
  const { events: rows, next } = events.events(ALL);
  expect(rows).toHaveLength(MAX_EVENTS_OF_A_CLASS + 1);
  expect(rows.at(-1)).toMatchObject({ kind: 'account-added', whom: 'Helper', note: 'tend' });
  expect(next).toBeNull();
});

test('the list goes on where it ended', () => {
  const { events } = eventsOn();
  for (let i = 0; i < 5; i++)
    events.note({ kind: 'device-added', who: null, whom: `bench-${i}`, address: null });
  const first = events.events({ limit: 2, beforeId: null });
  const second = events.events({ limit: 3, beforeId: Number(first.next) });
  expect([...first.events, ...second.events].map(({ whom }) => whom)).toEqual(
    [4, 3, 2, 1, 0].map((i) => `bench-${i}`),
  );
  expect(second.next).toBeNull();
});

test('on a full disk the door works on, and what happened is written once there is room', () => {
  const { events, setFull, record } = eventsOn();
  setFull(true);
  events.note({
    kind: 'role-changed',
    who: 'owner',
    whom: 'Wall',
    address: '127.0.0.1',
    note: 'look to tend',
  });
  events.note(refusal('192.0.2.1'));
  expect(events.events(ALL).events).toEqual([]);
  setFull(false);
  events.settle('due');
  expect(record.accessEvents(ALL).map(({ kind }) => kind)).toEqual(['sign-in-refused', 'role-changed']);
});

test('no control character and no long text gets into a row', () => {
  const { events } = eventsOn();
  events.note({ kind: 'device-added', who: 'a\u0007\u202eb', whom: 'x'.repeat(500), address: '\n' });
  const [row] = events.events(ALL).events;
  expect(row).toMatchObject({ who: 'ab', whom: 'x'.repeat(64), address: null });
});
