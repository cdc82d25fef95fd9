import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import type { Carrier, OutboxMessage } from '../../../../server/ports.ts';
import { clockByHand } from '../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../support/house.ts';

const MINUTE_MS = 60_000;
const ID = 'bench-1.air-over-ceiling';
const mail = (address: string) => ({ kind: 'mail', address }) as const;

/** Notes what is handed over, and takes it while `takes` says so. */
function notingCarrier() {
  const sent: {
    to: string;
    key: string;
    body: { type: string; data: { message: string; answer: string | null } };
  }[] = [];
  const refusing = new Set<string>();
  const carrier: Carrier = {
    async send(method, { key, body }: OutboxMessage) {
      const to = method.kind === 'mail' ? method.address : method.kind;
      if (refusing.has(to)) return { delivered: false, error: 'the mail server: down', forGood: false };
      sent.push({ to, key, body: JSON.parse(body) });
      return { delivered: true };
    },
  };
  const said = () => sent.map(({ to, body }) => `${to.split('@')[0]} ${body.type}`);
  return { carrier, sent, refusing, said };
}

type Noting = ReturnType<typeof notingCarrier>;

/** A house with Robin at once and Sam after 10 min, both by mail. */
function peopledHouse(noting: Noting) {
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const hand = clockByHand(START_MS);
  const start = () => startHouse({ store, hand, carrier: noting.carrier, webhookUrl: null });
  const house = start();
  const { people } = house.daemon;
  const robin = people.add({ name: 'Robin', quiet: { from: '09:00', to: '11:00' } });
  const sam = people.add({ name: 'Sam', quiet: null });
  people.addContactMethod(robin.id, mail('robin@bench.example'));
  people.addContactMethod(sam.id, mail('sam@bench.example'));
  const settle = () => new Promise<void>((resolve) => setImmediate(resolve));
  /** minutes in which the air is at a temperature, °C */
  const hold = async (of: ReturnType<typeof start>, valueC: number, minutes: number) => {
    for (let minute = 0; minute < minutes; minute++) {
      await of.report([airRecord(valueC)]);
      hand.pass(MINUTE_MS);
      await settle();
    }
  };
  return { house, start, hand, store, robin, sam, hold, settle };
}

describe('a high alarm nobody answers', () => {
  test('calls Robin at once in quiet hours, again after 5 min, Sam after 10, all until Sam acknowledges, notifies Robin that Sam acknowledged it, and both of the return', async () => {
    const noting = notingCarrier();
    const { house, hold } = peopledHouse(noting);
    await hold(house, 30, 12);
    const asked = noting.said();
    expect(asked).toEqual([
      'robin alarm.raised',
      'robin alarm.repeated',
      'robin alarm.repeated',
      'sam alarm.raised',
    ]);
    expect(noting.sent[3]?.body.data.message).toContain('Notified before: Robin; not acknowledged yet.');
    house.daemon.orders.acknowledge(ID, { by: 'Sam' });
    await hold(house, 30, 6);
    expect(noting.said().slice(4)).toEqual(['robin alarm.acknowledged']);
    expect(noting.sent[4]?.body.data).toMatchObject({
      message: expect.stringMatching(/^Sam acknowledged it at 10:12\. bench-1: air 30\.0 °C/),
      answer: null,
    });
    await hold(house, 22, 3);
    expect(noting.said().slice(5)).toEqual(['robin alarm.returned', 'sam alarm.returned']);
    expect(new Set(noting.sent.map(({ key }) => key)).size).toBe(7);
  });

  test('started again after every minute says the same', async () => {
    const noting = notingCarrier();
    const { house, start, hold } = peopledHouse(noting);
    let now = house;
    for (let minute = 0; minute < 12; minute++) {
      await hold(now, 30, 1);
      now.daemon.stop();
      now = start();
    }
    expect(noting.said()).toEqual([
      'robin alarm.raised',
      'robin alarm.repeated',
      'robin alarm.repeated',
      'sam alarm.raised',
    ]);
  });

  test('notifies 1 webhook that is the same for both once that acknowledged by somebody, and 2 mailboxes of their own', async () => {
    const noting = notingCarrier();
    const { house, hold, robin, sam } = peopledHouse(noting);
    const hook = { kind: 'webhook', url: 'http://127.0.0.1:1/room' } as const;
    for (const { id } of [robin, sam]) house.daemon.people.addContactMethod(id, hook);
    await hold(house, 30, 12);
    house.daemon.orders.acknowledge(ID);
    await hold(house, 30, 2);
    const taken = noting.said().filter((one) => one.endsWith('acknowledged'));
    expect(taken.toSorted()).toEqual(['robin', 'sam', 'webhook'].map((who) => `${who} alarm.acknowledged`));
    expect(noting.sent.at(-1)?.body.data.message).toMatch(/^Somebody acknowledged it at /);
  });

  test('calls who is added while it is active, and nobody who was taken off', async () => {
    const noting = notingCarrier();
    const { house, robin, hold } = peopledHouse(noting);
    house.daemon.people.remove(robin.id);
    await hold(house, 30, 3);
    expect(noting.said()).toEqual(['sam alarm.raised']);
    const kim = house.daemon.people.add({ name: 'Kim', quiet: null });
    house.daemon.people.addContactMethod(kim.id, mail('kim@bench.example'));
    // a newcomer comes 10 min after the last, Sam, who comes after 10
    await hold(house, 30, 19);
    expect(noting.said()).toContain('kim alarm.raised');
    expect(noting.said()).not.toContain('robin alarm.raised');
  });
});

test('what can wait comes on the sheet of 10:30, in 1 message to the first of the escalation, who sleeps until 11:00, once', async () => {
  const noting = notingCarrier();
  const { house, hand, store, settle, robin, sam } = peopledHouse(noting);
  const steps = [robin, sam].map(({ id }, i) => ({ personId: id, afterMin: i * 10 }));
  house.daemon.people.setEscalation({ steps, repeatMin: 5, morningAt: '10:30' });
  store.people.setMorningSheetDay('2026-05-31');
  const pass = async (minutes: number) => {
    for (let minute = 0; minute < minutes; minute++) {
      await house.report([{ n: 'light/ppfd', u: 'umol/m2/s', v: 250 }]);
      hand.pass(MINUTE_MS);
      await settle();
    }
  };
  await pass(1);
  const targets = house.daemon.queries.targets('bench-1');
  const alarms = { peakPpfdUmolM2S: 200 };
  house.daemon.orders.setTargets('bench-1', { targets: { ...targets, alarms }, fromMs: null });
  await pass(58);
  expect(house.daemon.queries.alarms()).toMatchObject([{ rule: 'light-over-peak', priority: 'low' }]);
  expect(noting.said()).toEqual([]);
  await pass(63);
  expect(noting.said()).toEqual(['robin sheet.morning']);
  expect(noting.sent[0]?.body.data.message).toMatch(/light/);
});

describe('a way that fails', () => {
  test('3 times, at 0, 5 and 20 s, is announced through the others, and so is that it works again', async () => {
    const noting = notingCarrier();
    const { house, hand, hold, settle } = peopledHouse(noting);
    noting.refusing.add('robin@bench.example');
    await hold(house, 30, 3);
    const failing = () => house.daemon.queries.alarms().find(({ rule }) => rule === 'way-failing');
    expect(failing()).toMatchObject({ state: 'unacknowledged', placeId: null });
    // Robin cannot be reached about it, so Sam is the first
    expect(noting.said()).toEqual(['sam alarm.raised']);
    expect(noting.sent[0]?.body.data.message).toContain('e-mail to Robin');
    expect(house.daemon.people.answer().failing).toMatchObject([{ error: 'the mail server: down' }]);
    const states = house.daemon.people.messages(ID).map(({ to, state, error }) => [to, state, error]);
    expect(states).toEqual([['Robin, e-mail', 'failed', 'the mail server: down']]);

    noting.refusing.clear();
    for (let second = 0; second < 120; second++) {
      hand.pass(1_000);
      await settle();
    }
    expect(failing()?.state).toBe('returned-unacknowledged');
    expect(noting.said()).toContain('robin alarm.raised');
    expect(noting.said().filter((said) => said === 'sam alarm.returned')).toHaveLength(1);
    expect(house.daemon.people.messages(ID).at(-1)?.state).toBe('sent');
  });

  test('and is taken away is no alarm any more, and what waited for it is given up', async () => {
    const noting = notingCarrier();
    const { house, hold, robin } = peopledHouse(noting);
    noting.refusing.add('robin@bench.example');
    await hold(house, 30, 3);
    const failing = () => house.daemon.queries.alarms().find(({ rule }) => rule === 'way-failing');
    expect(failing()?.state).toBe('unacknowledged');
    house.daemon.people.removeContactMethod({ personId: robin.id, wayId: 1 });
    await hold(house, 30, 1);
    expect(failing()?.state).toBe('returned-unacknowledged');
    expect(house.daemon.people.answer().failing).toEqual([]);
    const kept = house.daemon.people.messages(ID).filter(({ to }) => to === 'Robin, e-mail');
    expect(kept).toMatchObject([{ state: 'given-up', error: 'this way was taken away' }]);
  });

  test('and never answers holds no other way up', async () => {
    const noting = notingCarrier();
    const taking: string[] = [];
    const carrier: Carrier = {
      send: (method, message) => {
        if (method.kind === 'mail' && method.address === 'robin@bench.example')
          return new Promise<never>(() => undefined);
        taking.push(message.key);
        return Promise.resolve({ delivered: true });
      },
    };
    const { house, hold } = peopledHouse({ ...noting, carrier });
    await hold(house, 30, 12);
    expect(taking).toHaveLength(1);
  });
});

describe('a link', () => {
  async function asked() {
    const noting = notingCarrier();
    const { house, hold, hand } = peopledHouse(noting);
    await hold(house, 30, 2);
    const [token = ''] = (noting.sent[0]?.body.data.answer ?? '').split('/').slice(-1);
    expect(noting.sent[0]?.body.data.answer).toMatch(/^https:\/\/bench\.example\/answer\/[A-Za-z0-9_.-]+$/);
    return {
      house,
      hold,
      hand,
      token,
      service: house.daemon.people,
      alarm: () => house.daemon.world.alarms.get(ID),
    };
  }

  test('that is looked at changes nothing; followed, it acknowledges for Robin, once', async () => {
    const { service, token, alarm } = await asked();
    expect(service.view(token)).toMatchObject({ state: 'good', words: '' });
    expect(alarm()?.state).toBe('unacknowledged');
    expect(service.follow(token)).toMatchObject({
      state: 'good',
      words: expect.stringContaining('by Robin'),
    });
    expect(alarm()).toMatchObject({ state: 'acknowledged', acknowledgedBy: 'Robin' });
    expect(service.follow(token).state).toBe('spent');
  });

  test('12 h old is said to be expired; with 1 sign changed, to be none of ours', async () => {
    const { house, service, token, hand, alarm } = await asked();
    const [body = '', tag = ''] = token.split('.');
    const other = Buffer.from(
      Buffer.from(body, 'base64url').toString().replace(ID, 'bench-2.no-data'),
    ).toString('base64url');
    for (const forged of [`${other}.${tag}`, `${body}.${tag.slice(0, -2)}AA`, body, '', `${token}.x`])
      expect(service.follow(forged).state).toBe('forged');
    // nothing else need pass in that time
    house.daemon.stop();
    hand.pass(12 * 3_600_000);
    expect(service.follow(token).state).toBe('expired');
    expect(alarm()?.acknowledgedAtMs).toBeNull();
  });

  test('of an alarm somebody else has acknowledged says who and when', async () => {
    const { service, token, house } = await asked();
    house.daemon.orders.acknowledge(ID, { by: 'Sam' });
    expect(service.follow(token)).toMatchObject({
      state: 'over',
      words: 'It was acknowledged at 10:02 by Sam already.',
    });
  });
});
