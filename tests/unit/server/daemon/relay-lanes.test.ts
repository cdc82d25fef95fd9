import { setImmediate as soon } from 'node:timers/promises';
import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { createRelay } from '../../../../server/daemon/notify/relay.ts';
import { MOST_AT_ONCE } from '../../../../server/domain/outbox/lanes.ts';
import type { Carrier, Delivery, NewMessage } from '../../../../server/ports.ts';
import { clockByHand, readableLog } from '../support/hand.ts';
import { databaseFile, START_MS } from '../support/house.ts';

type Held = { readonly key: string; readonly wayId: number; end(delivery: Delivery): void };

/** A relay whose carrier holds every message until the test says what came of it. */
function startHeld({ houseUrl = 'http://127.0.0.1:1/' }: { houseUrl?: string } = {}) {
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const begun: Held[] = [];
  const carrier: Carrier = {
    send(_method, { key, wayId }) {
      const { promise, resolve } = Promise.withResolvers<Delivery>();
      begun.push({ key, wayId, end: resolve });
      return promise;
    },
  };
  const installationWebhook = { kind: 'webhook', url: houseUrl } as const;
  const relay = createRelay({ store, carrier, installationWebhook, ...hand, log: readableLog() });
  const put = (key: string, over: Partial<NewMessage> = {}) =>
    store.outbox.put({
      key,
      wayId: 0,
      alarmId: null,
      recipient: 'the webhook of the house',
      kind: 'alarm.raised',
      body: '{}',
      createdMs: hand.clock.nowMs(),
      ...over,
    });
  const webhookTo = (name: string, url: string) =>
    store.people.addContactMethod(store.people.add({ name, quiet: null }).id, { kind: 'webhook', url }).id;
  const end = async (key: string, delivery: Delivery = { delivered: true }) => {
    begun.findLast((one) => one.key === key)?.end(delivery);
    await soon();
  };
  return { hand, store, relay, put, webhookTo, begun, keys: () => begun.map(({ key }) => key), end };
}

const FAILED: Delivery = { delivered: false, error: 'no', forGood: false };

describe('messages side by side', () => {
  test('a message that is put while another hangs goes out beside it; of one alarm, behind it', async () => {
    const { relay, put, keys, end } = startHeld();
    put('a', { alarmId: 'x' });
    void relay.turn();
    put('b', { alarmId: 'y' });
    put('c', { alarmId: 'x' });
    void relay.turn();
    expect(keys()).toEqual(['a', 'b']);
    await end('a');
    expect(keys()).toEqual(['a', 'b', 'c']);
  });

  test('go high priority first, then the oldest; the last place is kept for high', async () => {
    const { relay, put, keys, end } = startHeld();
    put('low', { priority: 'low' });
    put('medium');
    put('medium 2');
    put('high', { priority: 'high' });
    put('medium 3');
    void relay.turn();
    expect(keys()).toEqual(['high', 'medium', 'medium 2']);
    put('high 2', { priority: 'high' });
    void relay.turn();
    expect(keys()).toEqual(['high', 'medium', 'medium 2', 'high 2']);
    await end('high');
    await end('high 2');
    expect(keys().slice(4)).toEqual(['medium 3']);
    await end('medium');
    expect(keys().slice(5)).toEqual(['low']);
  });

  test('one that hangs never goes twice, whatever time passes; it fails once, and goes again after its wait', async () => {
    const { hand, relay, put, keys, end, store } = startHeld();
    put('a');
    for (let turn = 0; turn < 50; turn++) {
      void relay.turn();
      hand.pass(60_000);
    }
    expect(keys()).toEqual(['a']);
    await end('a', FAILED);
    expect(keys()).toEqual(['a']);
    hand.pass(5_000);
    void relay.turn();
    expect(keys()).toEqual(['a', 'a']);
    expect(store.people.failing()).toMatchObject([{ wayId: 0, sinceMs: START_MS, attempts: 1 }]);
  });

  test('are 8 to one host and 4 by one contact method at most, of these 2 and 1 for high alone', () => {
    const { relay, put, webhookTo, begun } = startHeld();
    const url = (path: number) => `http://bench.example/${path}`;
    const wayIds = [1, 2, 3, 4].map((n) => webhookTo(`person ${n}`, url(n)));
    for (const wayId of wayIds) for (let k = 0; k < 6; k++) put(`${wayId}-${k}`, { wayId });
    void relay.turn();
    expect(begun.map(({ key }) => key)).toEqual(['1-0', '1-1', '1-2', '2-0', '2-1', '2-2']);
    for (const wayId of wayIds)
      for (let k = 0; k < 6; k++) put(`${wayId}-h${k}`, { wayId, priority: 'high' });
    void relay.turn();
    expect(begun.map(({ key }) => key).slice(6)).toEqual(['1-h0', '2-h0']);
    put('elsewhere');
    void relay.turn();
    expect(begun.at(-1)?.key).toBe('elsewhere');
  });

  test('of 70 ways that never answer 48 are under way at once; alarms of high priority fill 16 more', () => {
    const { relay, put, webhookTo, begun } = startHeld();
    const wayIds = Array.from({ length: 70 }, (_, k) =>
      webhookTo(`person ${k}`, `http://host-${k}.example/`),
    );
    for (const wayId of wayIds) put(`m${wayId}`, { wayId });
    void relay.turn();
    void relay.turn();
    expect(begun).toHaveLength(48);
    for (const wayId of wayIds) put(`h${wayId}`, { wayId, priority: 'high' });
    void relay.turn();
    expect(begun).toHaveLength(MOST_AT_ONCE.all);
    expect(begun.slice(48).every(({ key }) => key.startsWith('h'))).toBe(true);
  });
});

describe('at the end of the daemon', () => {
  test('what ends within 3 s is noted; nothing new begins', async () => {
    const { relay, put, keys, end, store } = startHeld();
    put('a');
    void relay.turn();
    const stopped = relay.stop();
    put('b');
    await relay.turn();
    await end('a');
    await stopped;
    expect(keys()).toEqual(['a']);
    expect(store.outbox.due({ nowMs: START_MS, limit: 9 }).map(({ key }) => key)).toEqual(['b']);
  });

  test('what hangs is broken off after 3 s, counts as no failure, and is sent at the next start under its name', async () => {
    const { hand, relay, put, end, store } = startHeld();
    put('a');
    void relay.turn();
    const stopped = relay.stop();
    hand.pass(3_000);
    await stopped;
    await end('a', FAILED);
    expect(store.outbox.due({ nowMs: hand.clock.nowMs(), limit: 9 })).toMatchObject([
      { key: 'a', attempts: 0 },
    ]);
    expect(store.people.failing()).toEqual([]);
  });
});
