import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { heldNotes } from '../../../../server/daemon/emergency/held-notes.ts';
import { logOnce } from '../../../../server/daemon/emergency/log-once.ts';
import { guardedTimers } from '../../../../server/daemon/guard/guard.ts';
import type { Carrier, RawMessage } from '../../../../server/ports.ts';
import type { Place } from '../../../../shared/model/place.ts';
import { storeOnDisk } from '../support/full-disk.ts';
import { clockByHand, readableLog } from '../support/hand.ts';
import { airRecord, databaseFile, keepInMemory, packOf, START_MS, startHouse } from '../support/house.ts';

/** The payload of a pack with the time of its readings, as a device sends again what it keeps. */
function timed({ payload }: RawMessage, atMs: number): Uint8Array {
  const records = JSON.parse(new TextDecoder().decode(payload)) as object[];
  return new TextEncoder().encode(JSON.stringify(records.map((record) => ({ ...record, t: atMs / 1_000 }))));
}

test('a full disk is a fact of the house from the first refusal until a try, every 5 s, succeeds', async () => {
  const { disk, store } = storeOnDisk();
  const house = startHouse({ store });
  const facts = () => house.daemon.queries.house().store;
  await house.report([airRecord(20)]);
  expect(facts()).toEqual({ writable: true, since: null });
  disk.full = true;
  house.hand.pass(1_000);
  await expect(house.report([airRecord(21)])).rejects.toThrow('has to come again');
  // the first thing written since, whatever it was
  const { since } = facts();
  expect(Date.parse(String(since)) - START_MS).toBeLessThanOrEqual(1_000);
  expect(facts()).toEqual({ writable: false, since });
  house.hand.pass(30_000);
  await expect(house.report([airRecord(22)])).rejects.toThrow('has to come again');
  expect(facts()).toEqual({ writable: false, since });
  expect(house.sent.filter(({ kind }) => kind === 'house').at(-1)?.what).toMatchObject({ store: facts() });
  disk.full = false;
  house.hand.pass(5_000);
  expect(facts()).toEqual({ writable: true, since: null });
  await house.report([airRecord(23)]);
});

test('what was sent and cannot be noted on disk goes out once, not every second, while the disk is full for 60 s', async () => {
  const { disk, store } = storeOnDisk();
  let sent = 0;
  const carrier = {
    send: async () => {
      sent += 1;
      disk.full = true;
      return { delivered: true } as const;
    },
  };
  const house = startHouse({ store, carrier });
  await house.report([airRecord(30, { ageS: 61 }), airRecord(30)]);
  const settle = () => new Promise<void>((resolve) => setImmediate(resolve));
  for (let second = 0; second < 60; second += 1) {
    house.hand.pass(1_000);
    await settle();
  }
  // the air ceiling alarm, and the one of the record
  expect(sent).toBe(2);
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

test('who watches is shown a message that came to a full disk that it was not kept, and of the next that it was', async () => {
  const { disk, store } = storeOnDisk();
  const house = startHouse({ store });
  house.daemon.foreignMessages.watch();
  disk.full = true;
  await expect(house.report([airRecord(21)])).rejects.toThrow('has to come again');
  house.hand.pass(300);
  disk.full = false;
  house.hand.pass(6_000);
  await house.report([airRecord(21)]);
  expect(
    house.daemon.foreignMessages.watched({ afterId: 0 }).messages.map(({ verdict }) => verdict),
  ).toMatchObject([
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

describe('air that goes over its ceiling while the disk is full', () => {
  /** Bodies by kind, in the order they were sent. */
  function openHouse() {
    const { disk, store } = storeOnDisk();
    const sent: { key: string; what: string }[] = [];
    const carrier: Carrier = {
      send: (_method, { key, body }) => {
        const { type, data } = JSON.parse(body) as { type: string; data: { alarm: { id: string } } };
        sent.push({ key, what: `${type} ${data.alarm.id}` });
        return Promise.resolve({ delivered: true });
      },
    };
    const house = startHouse({ store, carrier });
    const pass = async (seconds: number) => {
      for (let second = 0; second < seconds; second += 1) {
        house.hand.pass(1_000);
        await new Promise<void>((resolve) => setImmediate(resolve));
      }
    };
    const report = (valueC: number) =>
      house.report([airRecord(valueC)]).then(
        () => true,
        () => false,
      );
    return { disk, store, house, sent, pass, report };
  }

  test('calls people, is announced as over once it is, and what happened is in the record once, each key sent once', async () => {
    const { disk, store, house, sent, pass, report } = openHouse();
    expect(await report(22)).toBe(true);
    disk.full = true;
    for (let n = 0; n < 8; n += 1) {
      await pass(10);
      expect(await report(48)).toBe(false);
    }
    await pass(2);
    expect(sent.map(({ what }) => what).toSorted()).toEqual([
      'alarm.raised bench-1.air-far-over-ceiling',
      'alarm.raised house.record-not-writable',
    ]);
    for (let n = 0; n < 40; n += 1) {
      await pass(10);
      expect(await report(22)).toBe(false);
    }
    disk.full = false;
    await pass(10);
    expect(await report(22.5)).toBe(true);
    await pass(120);
    expect(
      sent
        .map(({ what }) => what)
        .slice(2)
        .sort(),
    ).toEqual(['alarm.returned bench-1.air-far-over-ceiling', 'alarm.returned house.record-not-writable']);
    expect(new Set(sent.map(({ key }) => key)).size).toBe(sent.length);
    const events = store.alarms.events('bench-1.air-far-over-ceiling').map(({ transition }) => transition);
    expect(events.toSorted()).toEqual(['raised', 'returned']);
    expect(store.outbox.waiting()).toEqual({ count: 0, lastError: null });
    const [probe] = store.probes.all();
    const window = { probeIds: [probe?.id ?? 0], fromMs: 0, toMs: house.hand.clock.nowMs() };
    expect(store.journal.window(window)[0]?.timesMs).toHaveLength(50);
  });

  test('resent readings are not judged again: who was called and notified that it is over is not called again', async () => {
    const { disk, house, sent, pass, report } = openHouse();
    expect(await report(22)).toBe(true);
    disk.full = true;
    const unacknowledged: RawMessage[] = [];
    for (const valueC of [48, 48, 48, 48, 48, 48, 48, 22, 22, 22, 22, 22, 22, 22]) {
      await pass(10);
      const message = packOf([airRecord(valueC)], { arrivedAtMs: house.hand.clock.nowMs() });
      unacknowledged.push({ ...message, payload: timed(message, house.hand.clock.nowMs()) });
      await expect(house.send(unacknowledged.at(-1) as RawMessage)).rejects.toThrow();
    }
    disk.full = false;
    await pass(10);
    const before = sent.length;
    for (const message of unacknowledged)
      await house.send({ ...message, arrivedAtMs: house.hand.clock.nowMs() });
    await pass(30);
    const news = sent.slice(before).filter(({ what }) => what.startsWith('alarm.raised'));
    expect(news).toEqual([]);
  });

  test('memory ends where the record goes on: a start after it calls nobody a second time', async () => {
    const { disk, store, sent, pass, report } = openHouse();
    expect(await report(22)).toBe(true);
    disk.full = true;
    await pass(10);
    await report(48);
    await pass(70);
    await report(48);
    disk.full = false;
    await pass(10);
    const called = sent.length;
    const again = startHouse({ store, hand: clockByHand(START_MS + 100_000) });
    again.hand.pass(5_000);
    expect(store.outbox.waiting().count).toBe(0);
    expect(sent.length).toBe(called);
    expect(
      again.daemon.queries.alarms().find(({ id }) => id === 'bench-1.air-far-over-ceiling'),
    ).toMatchObject({ state: 'unacknowledged' });
  });
});

test('one place whose judging breaks does not keep the watch of others from calling', async () => {
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const house = startHouse({ store });
  await house.report([airRecord(22)], 'bench-0');
  await house.report([airRecord(30)], 'bench-1');
  const place = house.daemon.world.places.get('bench-0');
  // settings that no version of ours has written
  house.daemon.world.places.set('bench-0', { ...(place as Place), settings: null as never });
  house.hand.pass(62_000);
  expect(house.daemon.queries.alarms().find(({ id }) => id === 'bench-1.air-over-ceiling')).toMatchObject({
    state: 'unacknowledged',
  });
  expect(house.log.lines.filter(({ message }) => message.includes('was survived')).length).toBeGreaterThan(0);
});

test('a turn that throws is said once, and the next goes on', () => {
  const hand = clockByHand(START_MS);
  const log = readableLog();
  const timers = guardedTimers(hand.timers, logOnce(log, 'a turn failed').say);
  let turns = 0;
  timers.every(1_000, () => {
    turns += 1;
    throw new Error('ENOSPC: no space left on device, write');
  });
  hand.pass(10_000);
  expect([turns, log.lines.length]).toEqual([10, 1]);
});

test('notes that cannot be written are held, read as they were written, and written once they can be', () => {
  const inner = keepInMemory();
  const disk = { full: true };
  const keep = heldNotes(
    {
      ...inner,
      write(name, text) {
        if (disk.full) throw new Error('ENOSPC: no space left on device, write');
        inner.write(name, text);
      },
    },
    readableLog(),
  );
  keep.write('last-alive', '1');
  expect([keep.read('last-alive'), inner.read('last-alive')]).toEqual(['1', null]);
  disk.full = false;
  keep.turn();
  expect(inner.read('last-alive')).toBe('1');
});
