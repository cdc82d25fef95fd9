import { setImmediate as soon } from 'node:timers/promises';
import { describe, expect, onTestFinished, test } from 'vitest';
import { withDeadlines } from '../../../../server/daemon/notify/deadlines.ts';
import type { Carrier, Delivery } from '../../../../server/ports.ts';
import { dribble, startHanging } from '../../../support/hanging.ts';
import { until } from '../../../support/wait.ts';
import { startWebhook } from '../../../support/webhook.ts';
import { clockByHand } from '../support/hand.ts';
import { airRecord, START_MS, startHouse } from '../support/house.ts';
import { realCarrier } from '../support/real-carrier.ts';

const MINUTE_MS = 60_000;
type House = ReturnType<typeof startHouse>;

const idOf = ({ daemon }: House, rule: 'way-failing' | 'restore-incomplete') =>
  daemon.world.alarm({ placeId: null, rule }).id;

/** Lets seconds pass, with a reading each minute, and with what is under way given the time to go on. */
async function passSeconds(house: House, { seconds, valueC }: { seconds: number; valueC: number }) {
  for (let second = 0; second < seconds; second++) {
    if (second % 60 === 0) await house.report([airRecord(valueC)]);
    house.hand.pass(1_000);
    await soon();
    await soon();
  }
}

test('a mail server that dribbles one byte at a time is announced through the webhook within 2 min of the first attempt, and holds no other alarm', async () => {
  const server = await startHanging(dribble('220-bench', 50));
  const webhook = await startWebhook();
  onTestFinished(() => webhook.close());
  const hand = clockByHand(START_MS);
  const { carrier } = realCarrier(hand, `smtp://127.0.0.1:${server.port}`);
  const house = startHouse({ hand, carrier: withDeadlines(carrier, hand), webhookUrl: null });
  const { people } = house.daemon;
  people.addContactMethod(people.add({ name: 'Robin', quiet: null }).id, {
    kind: 'mail',
    address: 'r@bench.example',
  });
  people.addContactMethod(people.add({ name: 'Sam', quiet: null }).id, { kind: 'webhook', url: webhook.url });
  people.setEscalation({
    repeatMin: 5,
    morningAt: '07:00',
    steps: [1, 2].map((personId) => ({ personId, afterMin: 0 })),
  });
  await house.report([airRecord(22)]);
  await passSeconds(house, { seconds: 240, valueC: 30 });
  const ofRule = (id: string) => house.store.outbox.ofAlarm(id, 50).toReversed();
  const first = ofRule('bench-1.air-over-ceiling')[0];
  const failing = ofRule(idOf(house, 'way-failing'));
  expect(failing.map(({ recipient, kind }) => `${recipient} ${kind}`)).toEqual(['Sam, webhook alarm.raised']);
  const afterMs = (failing[0]?.createdMs ?? Number.POSITIVE_INFINITY) - (first?.createdMs ?? 0);
  expect(afterMs).toBeLessThanOrEqual(2 * MINUTE_MS);
  await webhook.deliveredAtLeast(2, 10_000);
  const rules = webhook.requests.map(({ body }) => JSON.parse(body).data.alarm.rule);
  expect(rules).toContain('way-failing');
  expect(rules).toContain('air-over-ceiling');
  const closed = () => (server.counts().made > 1 && server.counts().open <= 1 ? true : null);
  await until(closed, { what: 'connections that were let go', withinMs: 10_000 });
}, 60_000);

/** A house with Robin by mail, whose mail server does as it is told, and an outside watcher. */
function pingedHouse() {
  let delivery: Delivery = { delivered: true };
  const pings: number[] = [];
  const carrier: Carrier = {
    send: ({ kind }) => Promise.resolve(kind === 'mail' ? delivery : { delivered: true }),
  };
  const house = startHouse({
    carrier,
    webhookUrl: null,
    ping: () => {
      pings.push(house.hand.clock.nowMs());
      return Promise.resolve();
    },
  });
  const { people } = house.daemon;
  people.addContactMethod(people.add({ name: 'Robin', quiet: null }).id, {
    kind: 'mail',
    address: 'r@bench.example',
  });
  return {
    house,
    people,
    pings,
    answer: (next: Delivery) => {
      delivery = next;
    },
  };
}

describe('with every contact method failing', () => {
  const down: Delivery = { delivered: false, error: 'down', forGood: false };

  test('the page shows it, and after 10 min the outside watcher gets no sign of life, until a message is delivered', async () => {
    const { house, pings, people, answer } = pingedHouse();
    answer(down);
    await house.report([airRecord(22)]);
    await passSeconds(house, { seconds: 9 * 60, valueC: 30 });
    expect(pings.length).toBeGreaterThanOrEqual(8);
    expect(people.answer().failing).toHaveLength(1);
    await passSeconds(house, { seconds: 10 * 60, valueC: 30 });
    const atMost = pings.length;
    await passSeconds(house, { seconds: 3 * 60, valueC: 30 });
    expect(pings.length).toBe(atMost);
    expect(JSON.stringify(house.log.lines)).toContain('no message gets through to anybody');
    answer({ delivered: true });
    await passSeconds(house, { seconds: 11 * 60, valueC: 30 });
    expect(pings.length).toBeGreaterThan(atMost);
  });

  test('and another that works, or nobody to call at all, the sign of life goes on', async () => {
    const { house, pings, people, answer } = pingedHouse();
    answer({ ...down, forGood: true });
    await house.report([airRecord(22)]);
    await passSeconds(house, { seconds: 3 * 60, valueC: 30 });
    const stopped = pings.length;
    people.addContactMethod(1, { kind: 'webhook', url: 'http://bench.example/' });
    await passSeconds(house, { seconds: 60, valueC: 22 });
    expect(pings.length).toBe(stopped + 1);
    people.remove(1);
    await passSeconds(house, { seconds: 60, valueC: 22 });
    expect(pings.length).toBe(stopped + 2);
  });
});

describe('what a restore could not bring', () => {
  const subscription = { endpoint: 'https://push.example/1', keys: { p256dh: 'a', auth: 'b' } };
  const push = { kind: 'push', name: 'Chrome on Android', subscription } as const;

  /** Robin by push, Sam by webhook, Kim by mail, all of them left without what they need; nothing gets through yet. */
  function restoredHouse() {
    let delivery: Delivery = { delivered: false, error: 'down', forGood: false };
    const carrier: Carrier = { send: () => Promise.resolve(delivery) };
    const house = startHouse({ carrier, webhookUrl: null });
    const { people } = house.daemon;
    for (const name of ['Robin', 'Sam', 'Kim']) people.add({ name, quiet: null });
    people.addContactMethod(1, push);
    people.addContactMethod(2, { kind: 'webhook', url: 'http://bench.example/' });
    people.addContactMethod(3, { kind: 'mail', address: 'kim@bench.example' });
    const whys = ['push-keys', 'webhook-secret', 'no-mail-server'] as const;
    for (const [i, why] of whys.entries())
      house.store.restoreGaps.note({ wayId: i + 1, why, sinceMs: START_MS });
    const alarm = () => house.daemon.world.alarm({ placeId: null, rule: 'restore-incomplete' });
    const named = () => {
      const { facts } = alarm();
      return facts?.kind === 'installation' ? facts.items.map(({ what }) => what) : [];
    };
    const take = () => {
      delivery = { delivered: true };
    };
    return {
      house,
      people,
      alarm,
      named,
      take,
      gaps: () => people.answer().restoreGaps.map(({ wayId }) => wayId),
    };
  }

  test('is an alarm that names everybody, and clears one by one: set up again, changed, removed', async () => {
    const { house, people, alarm, named, gaps } = restoredHouse();
    await passSeconds(house, { seconds: 6, valueC: 22 });
    expect(alarm().state).toBe('unacknowledged');
    expect(named()).toEqual(['notification to Robin', 'webhook to Sam', 'e-mail to Kim']);
    expect(gaps()).toEqual([1, 2, 3]);
    // the same browser takes the place of what it was
    people.addContactMethod(1, {
      ...push,
      subscription: { ...subscription, endpoint: 'https://push.example/2' },
    });
    expect(people.answer().people[0]?.ways).toMatchObject([
      { subscription: { endpoint: 'https://push.example/2' } },
    ]);
    await passSeconds(house, { seconds: 6, valueC: 22 });
    expect(named()).toEqual(['webhook to Sam', 'e-mail to Kim']);
    people.updateContactMethod({ personId: 2, wayId: 2 }, { kind: 'webhook', url: 'http://bench.example/' });
    people.removeContactMethod({ personId: 3, wayId: 3 });
    await passSeconds(house, { seconds: 6, valueC: 22 });
    expect(gaps()).toEqual([]);
    expect(alarm().returnedAtMs).not.toBeNull();
  });

  test('clears by itself where a message is delivered', async () => {
    const { house, people, take, gaps } = restoredHouse();
    await passSeconds(house, { seconds: 6, valueC: 22 });
    take();
    people.testNow({ personId: 2, wayId: null });
    await passSeconds(house, { seconds: 2, valueC: 22 });
    expect(gaps()).not.toContain(2);
  });
});
