import { afterEach, describe, expect, test } from 'vitest';
import { sendByWebhook } from '../../../../../server/adapters/notify/webhook.ts';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { createRelay } from '../../../../../server/daemon/notify/relay.ts';
import {
  GIVE_UP_AFTER_MS,
  nextAttemptMs,
  RETRY_DELAYS_MS,
} from '../../../../../server/domain/outbox/schedule.ts';
import type { Carrier } from '../../../../../server/ports.ts';
import { anywhere } from '../../../../support/outgoing.ts';
import { startWebhook, type Webhook, type WebhookOptions } from '../../../../support/webhook.ts';
import { clockByHand, type Hand, readableLog } from '../../support/hand.ts';
import { databaseFile, START_MS } from '../../support/house.ts';

const DAY_MS = 24 * 3_600_000;
const SECRET = Buffer.alloc(32, 7).toString('base64');
const receivers: Webhook[] = [];
afterEach(async () => {
  for (const receiver of receivers.splice(0)) await receiver.close();
});

/** Hands over to real receivers, by the clock of the test. */
const byWebhook = (hand: Hand): Carrier => ({
  async send(method, message, signal) {
    if (method.kind !== 'webhook') throw new Error('only webhooks here');
    return sendByWebhook(message, {
      sendHttp: anywhere,
      url: method.url,
      ownAddresses: true,
      secret: SECRET,
      nowMs: hand.clock.nowMs(),
      signal,
    });
  },
});

/** A relay with a real database, a real receiver and a clock moved by hand. */
async function startRelay(answers: WebhookOptions = {}) {
  const receiver = await startWebhook(answers);
  receivers.push(receiver);
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const { outbox } = store;
  const carrier = byWebhook(hand);
  const log = readableLog();
  const installationWebhook = { kind: 'webhook', url: receiver.url } as const;
  const relay = createRelay({ store, carrier, installationWebhook, ...hand, log });
  const put = (key: string) =>
    outbox.put({
      key,
      wayId: 0,
      alarmId: null,
      recipient: 'the webhook of the house',
      kind: 'alarm.raised',
      body: JSON.stringify({ key }),
      createdMs: hand.clock.nowMs(),
    });
  return { receiver, hand, outbox, relay, log, put };
}

/** Seconds after START at which the waits of 5, 15, 45, 120, 300 and then 600 s put the attempts. */
const ATTEMPTS_S = [0, 5, 20, 65, 185, 485, 1_085, 1_685];

describe('a receiver that fails', () => {
  test('7 times is asked at 0, 5, 20, 65, 185, 485, 1085 and 1685 s and takes the message once', async () => {
    const { receiver, hand, outbox, relay, put } = await startRelay({ refuseFirst: 7 });
    put('alarm-1');
    const triedAtS: number[] = [];
    for (let second = 0; second <= 1_800; second += 5) {
      const before = receiver.requests.length;
      await relay.turn();
      if (receiver.requests.length > before) triedAtS.push(second);
      hand.pass(5_000);
    }
    expect(triedAtS).toEqual(ATTEMPTS_S);
    expect(receiver.requests.filter(({ delivered: taken }) => taken)).toHaveLength(1);
    expect(outbox.waiting()).toEqual({ count: 0, lastError: null });
    const ids = new Set(receiver.requests.map(({ headers }) => headers['webhook-id']));
    expect([...ids]).toEqual(['alarm-1']);
    expect(receiver.requests[0]).toMatchObject({ method: 'POST', body: '{"key":"alarm-1"}' });
    // Standard Webhooks: webhook-timestamp is in seconds
    expect(receiver.requests[1]?.headers['webhook-timestamp']).toBe(String(START_MS / 1_000 + 5));
  });

  test('says so: the message waits with "the receiver answered 500"', async () => {
    const { outbox, relay, log, put } = await startRelay({ refuseFirst: 1 });
    put('alarm-1');
    await relay.turn();
    expect(outbox.waiting()).toEqual({ count: 1, lastError: 'the receiver answered 500' });
    expect(log.lines).toMatchObject([{ level: 'warn', fields: { key: 'alarm-1', attempts: 1 } }]);
  });

  test('for more than 24 h loses the message: at 24 h it is tried on, after that it is given up', async () => {
    const { receiver, hand, outbox, relay, put } = await startRelay({ refuseFirst: 1_000 });
    put('alarm-1');
    await relay.turn();
    hand.pass(DAY_MS);
    await relay.turn();
    expect(outbox.waiting().count).toBe(1);
    hand.pass(600_000);
    await relay.turn();
    expect(outbox.waiting()).toEqual({ count: 0, lastError: null });
    expect(outbox.due({ nowMs: START_MS + 9 * DAY_MS, limit: 9 })).toEqual([]);
    expect(receiver.requests).toHaveLength(3);
  });

  // RFC 9110, section 10.2.3: seconds, or a date; START_MS is Monday, 1 June 2026, 10:00 UTC
  test.each([
    [429, '120', 120],
    [503, 'Mon, 01 Jun 2026 10:03:00 GMT', 180],
    [503, '1', 5],
    [503, 'Mon, 01 Jun 2026 09:00:00 GMT', 5],
    [429, '86400', 3_600],
    [429, 'soon', 5],
    [500, '120', 5],
  ])(
    'with %i and Retry-After: %s is asked again after %i s, and not before',
    async (status, when, afterS) => {
      const headers = { 'retry-after': when };
      const { receiver, hand, relay, put } = await startRelay({ refuseFirst: 1, status, headers });
      put('alarm-1');
      await relay.turn();
      hand.pass(afterS * 1_000 - 1);
      await relay.turn();
      expect(receiver.requests).toHaveLength(1);
      hand.pass(1);
      await relay.turn();
      expect(receiver.requests.map(({ delivered: taken }) => taken)).toEqual([false, true]);
    },
  );

  test('with the first of 2 messages is given the second, and the first again later', async () => {
    const { receiver, hand, relay, put } = await startRelay({ refuseFirst: 1 });
    put('a');
    put('b');
    await relay.turn();
    hand.pass(5_000);
    await relay.turn();
    const seen = receiver.requests.map(({ headers, delivered: taken }) => [headers['webhook-id'], taken]);
    expect(seen).toEqual([
      ['a', false],
      ['b', true],
      ['a', true],
    ]);
  });
});

test('nobody listening is an error that says why, and the message waits', async () => {
  const { receiver, outbox, relay, put } = await startRelay();
  await receiver.close();
  put('alarm-1');
  await relay.turn();
  expect(outbox.waiting().lastError).toMatch(/^no answer: .*ECONNREFUSED/);
});

test('2 turns at once send 1 message once', async () => {
  const { receiver, relay, put } = await startRelay();
  put('alarm-1');
  await Promise.all([relay.turn(), relay.turn()]);
  expect(receiver.requests).toHaveLength(1);
});

test('45 messages all go out in one turn, each once', async () => {
  const { receiver, relay, put } = await startRelay();
  for (let k = 0; k < 45; k++) put(`alarm-${k}`);
  await relay.turn();
  const ids = receiver.requests.map(({ headers }) => headers['webhook-id']);
  expect([ids.length, new Set(ids).size]).toEqual([45, 45]);
});

describe('the schedule', () => {
  test.each([
    [1, 5_000],
    [2, 15_000],
    [6, 600_000],
    [7, 600_000],
    [100, 600_000],
  ])('after %i failures waits %i ms', (attempts, delayMs) => {
    expect(nextAttemptMs({ attempts, createdMs: 0, nowMs: 1_000 })).toBe(1_000 + delayMs);
  });

  test('gives up 1 ms after 24 h, and not at 24 h', () => {
    expect(GIVE_UP_AFTER_MS).toBe(DAY_MS);
    expect(nextAttemptMs({ attempts: 9, createdMs: 0, nowMs: DAY_MS })).toBe(DAY_MS + 600_000);
    expect(nextAttemptMs({ attempts: 9, createdMs: 0, nowMs: DAY_MS + 1 })).toBeNull();
    expect(RETRY_DELAYS_MS).toHaveLength(6);
  });
});
