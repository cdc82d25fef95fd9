import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { Fault } from '../../../../shared/faults.ts';
import { clockByHand } from '../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../support/house.ts';

const MINUTE_MS = 60_000;
const ID = 'bench-1.air-over-ceiling';
/** A receiver that never answers: what people would be sent stays in the outbox. */
const nobody = { send: () => new Promise<never>(() => undefined) };

/** A house whose bench-1 has been at 30 °C, over its ceiling of 26.7 °C, for 61 s. */
async function hotHouse() {
  const house = startHouse({ carrier: nobody });
  await house.report([airRecord(30, { ageS: 61 }), airRecord(30)]);
  const sent = () =>
    house.store.outbox
      .due({ nowMs: START_MS + 9e9, limit: 99 })
      .map(({ body }) => JSON.parse(body))
      .filter(({ data }) => data.alarm.id === ID)
      .map(({ type }) => type);
  const events = () =>
    house.daemon.queries
      .alarmEvents(ID)
      .map(({ transition }) => transition)
      .toReversed();
  /** 61 s at a temperature, °C, read every 20 s. */
  const minuteAt = async (valueC: number) => {
    for (let k = 0; k < 4; k++) {
      house.hand.pass(k === 0 ? 1_000 : 20_000);
      await house.report([airRecord(valueC)]);
    }
  };
  return { house, sent, events, minuteAt, alarm: () => house.daemon.world.alarms.get(ID) };
}

describe('an alarm from raised to returned', () => {
  test('notifies people 2 times, raised and returned, and not that it was acknowledged', async () => {
    const { house, sent, events, minuteAt } = await hotHouse();
    house.daemon.orders.acknowledge(ID);
    await minuteAt(20);
    expect(events()).toEqual(['raised', 'acknowledged', 'returned']);
    expect(sent()).toEqual(['alarm.raised', 'alarm.returned']);
  });

  test('goes out on its topic and to pages each of 3 times it changes', async () => {
    const { house, minuteAt } = await hotHouse();
    house.daemon.orders.acknowledge(ID);
    await minuteAt(20);
    const states = house.published
      .filter(({ topic }) => topic === `strikewell/1/alarms/${ID}`)
      .map(({ payload }) => JSON.parse(payload).state);
    expect([...new Set(states)]).toEqual(['unacknowledged', 'acknowledged', 'normal']);
    expect(house.sent.filter(({ kind }) => kind === 'alarm').length).toBeGreaterThanOrEqual(3);
  });

  test('keeps its highest, 35 °C between 2 samples of 30 °C, when the daemon is started again in between', async () => {
    const { house } = await hotHouse();
    house.hand.pass(1_000);
    await house.report([airRecord(35)]);
    house.daemon.stop();
    const again = startHouse({ store: house.store, hand: house.hand });
    again.hand.pass(1_000);
    await again.report([airRecord(30)]);
    expect(again.daemon.world.alarms.get(ID)?.facts).toMatchObject({ worst: 35, value: 30 });
  });
});

describe('shelving for 10 min', () => {
  test('notifies nobody of 1 return and 1 raise in between, and then that it ended while the alarm is active', async () => {
    const { house, sent, events, minuteAt, alarm } = await hotHouse();
    house.daemon.orders.shelve(ID, { minutes: 10, reason: 'cover off for sticking' });
    await minuteAt(20);
    await minuteAt(30);
    expect(events()).toEqual(['raised', 'shelved', 'returned', 'raised']);
    expect(sent()).toEqual(['alarm.raised']);
    house.hand.pass(10 * MINUTE_MS - 2 * 61_000 - 1_000);
    expect(alarm()?.shelved).not.toBeNull();
    house.hand.pass(2_000);
    expect(alarm()).toMatchObject({ shelved: null, state: 'unacknowledged' });
    expect(sent()).toEqual(['alarm.raised', 'alarm.unshelved']);
  });

  test('ends without a word when the alarm is back to normal', async () => {
    const { house, sent, events, minuteAt } = await hotHouse();
    house.daemon.orders.acknowledge(ID);
    house.daemon.orders.shelve(ID, { minutes: 10, reason: 'x' });
    await minuteAt(20);
    house.daemon.orders.unshelve(ID);
    expect(events()).toEqual(['raised', 'acknowledged', 'shelved', 'returned', 'unshelved']);
    expect(sent()).toEqual(['alarm.raised']);
  });

  test('survives a restart, with its reason as the note of its event', async () => {
    const { house } = await hotHouse();
    house.daemon.orders.shelve(ID, { minutes: 10, reason: 'cover off' });
    house.daemon.stop();
    const again = startHouse({ store: house.store, hand: house.hand });
    expect(again.daemon.queries.alarms()).toMatchObject([
      { shelvedUntilMs: START_MS + 10 * MINUTE_MS, shelvedReason: 'cover off' },
    ]);
    expect(again.daemon.queries.alarmEvents(ID)[0]).toMatchObject({
      transition: 'shelved',
      note: 'cover off',
    });
  });

  test.each([
    [120, true],
    [121, false],
  ])('of %i min is possible for high priority: %s', async (minutes, possible) => {
    const { house, alarm } = await hotHouse();
    const shelve = () => house.daemon.orders.shelve(ID, { minutes, reason: 'x' });
    if (possible) expect(shelve()).toMatchObject({ shelvedReason: 'x' });
    else expect(shelve).toThrow(Fault);
    expect(alarm()?.shelved === null).toBe(!possible);
  });
});

describe('what raises nothing', () => {
  test('1 h at 40 °C that arrives 1 h late: it is stored and judged by nobody', async () => {
    const house = startHouse();
    const old = Array.from({ length: 60 }, (_, k) => airRecord(40, { ageS: 7_200 - 60 * k }));
    await house.report(old);
    house.hand.pass(2_000);
    expect(house.daemon.queries.alarms().filter(({ rule }) => rule === 'air-over-ceiling')).toEqual([]);
    expect(house.daemon.queries.house().readings.received).toBe(60);
  });
});

describe('no data', () => {
  const silence = (house: ReturnType<typeof startHouse>) =>
    house.daemon.queries.alarms().find(({ rule }) => rule === 'no-data')?.state ?? 'never raised';
  /** a place is expected to go on once it has reported three times */
  const threeTimes = [2, 1, 0].map((ageS) => airRecord(20, { ageS }));
  /** 10 readings, 1 min apart, the newest of now. */
  const tenMinutes = Array.from({ length: 10 }, (_, k) => airRecord(20, { ageS: (9 - k) * 60 }));

  test('of a node that sends 10 min at once comes not within 30 min, and after that', async () => {
    const house = startHouse();
    for (let delivery = 0; delivery < 3; delivery++) {
      if (delivery > 0) house.hand.pass(10 * MINUTE_MS);
      await house.report(tenMinutes);
    }
    house.hand.pass(2_000);
    // the first pause was longer than 5 min, and nothing was known of its cadence then
    expect(silence(house)).toBe('returned-unacknowledged');
    house.daemon.orders.acknowledge('bench-1.no-data');
    house.hand.pass(30 * MINUTE_MS - 2_000);
    expect(silence(house)).toBe('normal');
    house.hand.pass(2_000);
    expect(silence(house)).toBe('unacknowledged');
  });

  test('comes 5 min after a start, not at once, when the daemon was off for 1 h', async () => {
    const file = databaseFile();
    const before = startHouse({ store: openStore({ file, nowMs: START_MS }) });
    await before.report(threeTimes);
    before.daemon.stop();
    before.store.close();
    const hand = clockByHand(START_MS + 60 * MINUTE_MS);
    const house = startHouse({ store: openStore({ file, nowMs: 0 }), hand });
    hand.pass(5 * MINUTE_MS);
    expect(silence(house)).toBe('never raised');
    hand.pass(2_000);
    expect(silence(house)).toBe('unacknowledged');
  });

  test('of one probe beside another that goes on is an alarm of its own, and names a 2nd that stops reporting', async () => {
    const house = startHouse();
    const names = () => {
      const facts = house.daemon.world.alarms.get('bench-1.probe-silent')?.facts;
      return facts?.kind === 'no-data' ? facts.silent.map(({ probe }) => probe) : [];
    };
    const root = { n: 'root/temperature', u: 'Cel', v: 22 };
    const humidity = { n: 'air/humidity', u: '%RH', v: 90 };
    const minutes = async (count: number, records: Parameters<typeof house.report>[0]) => {
      for (let minute = 0; minute < count; minute++) {
        await house.report(records);
        house.hand.pass(MINUTE_MS);
      }
    };
    await minutes(7, [airRecord(20), humidity, root]);
    await minutes(2, [humidity, root]);
    await minutes(3, [root]);
    expect(names()).toEqual(['air/temperature']);
    await minutes(2, [root]);
    expect(names()).toEqual(['air/temperature', 'air/humidity']);
    expect(silence(house)).toBe('never raised');
  });
});
