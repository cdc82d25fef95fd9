import { expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import type { Carrier } from '../../../../../server/ports.ts';
import { clockByHand } from '../../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../../support/house.ts';

/** What the page behind the link of a message shows of the alarm, and to whom it shows nothing. The clock begins at 10:00 UTC. */
const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

async function calledHouse(samQuiet: { from: string; to: string } | null = null) {
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const tokens: string[] = [];
  const carrier: Carrier = {
    send(_method, { body }) {
      const { answerPath } = JSON.parse(body).data;
      if (answerPath !== null) tokens.push(answerPath.replace('/answer/', ''));
      return Promise.resolve({ delivered: true });
    },
  };
  const house = startHouse({ store, hand, carrier, webhookUrl: null });
  const { people, orders } = house.daemon;
  for (const [name, quiet] of [
    ['Robin', null],
    ['Sam', samQuiet],
  ] as const) {
    const { id } = people.add({ name, quiet });
    people.addContactMethod(id, { kind: 'mail', address: `${name.toLowerCase()}@bench.example` });
  }
  const hold = async (valueC: number, minutes: number) => {
    for (let minute = 0; minute < minutes; minute++) {
      await house.report([airRecord(valueC)]);
      hand.pass(MINUTE_MS);
      await new Promise<void>((resolve) => setImmediate(resolve));
    }
  };
  await hold(22, 1);
  const alarms = { 'air-over-ceiling': { onDelayMs: 0, priority: 'medium' as const } };
  orders.patchPlace('bench-1', { settings: { alarms } });
  await hold(28, 2);
  return { people, hand, hold, token: () => tokens[0] ?? '' };
}

test('a good link shows state, action, the last hour with the limit, who was called and who comes next', async () => {
  const { people, token } = await calledHouse();
  const { state, ask, about } = people.view(token());
  expect([state, ask?.button]).toEqual(['good', 'Acknowledge']);
  expect(about).toMatchObject({
    state: 'Unacknowledged',
    rest: 'medium priority, raised at 10:01, 2 min ago',
    action: 'Shade it first, then open vents and any cover.',
    lastHour: { name: 'Air temperature', unit: '°C', limit: { value: 26.7, sense: 'above' } },
    people: [
      'Robin (you) was called at 10:01 by e-mail.',
      'Sam will be called at 10:11, unless somebody acknowledges first.',
    ],
  });
});

test('who is left in peace is not "called now": the line says until when the message is held', async () => {
  const { people, hold, token } = await calledHouse({ from: '09:00', to: '11:00' });
  await hold(28, 12);
  expect(people.view(token()).about?.people).toEqual([
    'Robin (you) was called at 10:01 by e-mail.',
    'Held until 11:00: quiet hours of Sam.',
  ]);
});

test('a link that was used, and one of what somebody else acknowledged, still show the alarm, and ask for nothing', async () => {
  const { people, hold, token } = await calledHouse();
  expect(people.follow(token())).toMatchObject({
    words: 'Acknowledged by Robin. Nobody else is called about it now.',
    about: { state: 'Acknowledged', rest: 'by Robin at 10:03' },
  });
  await hold(28, 1);
  expect(people.view(token())).toMatchObject({
    state: 'spent',
    ask: null,
    about: { people: ['Robin (you) was called at 10:01 by e-mail, and acknowledged it at 10:03.'] },
  });
});

test('a forged link and one that has expired show nothing of the alarm', async () => {
  const { people, hand, token } = await calledHouse();
  expect(people.view(`${token()}x`)).toMatchObject({ state: 'forged', about: null });
  hand.jump(13 * HOUR_MS);
  expect(people.view(token())).toMatchObject({ state: 'expired', about: null });
});
