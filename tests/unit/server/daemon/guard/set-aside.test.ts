import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { MOST_TROUBLES, QUIET_MS } from '../../../../../server/daemon/guard/troubles.ts';
import type { Carrier, RawMessage, RecordStore, Store } from '../../../../../server/ports.ts';
import { airRecord, databaseFile, packOf, START_MS, startHouse } from '../../support/house.ts';

/** A value that the store is made to fail at, as it did at a fraction in a column of whole numbers. */
const POISON = 66.5;
const MINUTE_MS = 60_000;

/** A store that cannot keep one value, and says so as a mistake of ours, not as a full disk. */
function poisonedStore(file = databaseFile()): RecordStore {
  const inner = openStore({ file, nowMs: START_MS });
  return {
    ...inner,
    journal: {
      ...inner.journal,
      append(reading) {
        if (reading.value === POISON) throw new RangeError('not a whole\u0000number \u202e');
        return inner.journal.append(reading);
      },
    },
  };
}

type House = ReturnType<typeof startHouse>;

async function offerAll(house: House, messages: readonly RawMessage[]): Promise<string[]> {
  const all = Promise.allSettled(messages.map((message) => house.daemon.inbox.offer(message)));
  house.hand.settle();
  return (await all).map(({ status }) => status);
}

const good = (k: number) => packOf([airRecord(20 + k / 10, { ageS: k })], { device: `bench-${k}` });
const poisonous = packOf([airRecord(21), airRecord(POISON, { probe: '/2' })], { device: 'bench-poison' });
const asideAlarm = ({ daemon }: House) =>
  daemon.queries.alarms().find(({ rule }) => rule === 'message-set-aside');
const faultAlarm = ({ daemon }: House) =>
  daemon.queries.alarms().find(({ rule }) => rule === 'monitoring-fault');

describe('1 message of 11 that fails by itself', () => {
  test('is kept among the refused and acknowledged; the 10 others are stored, and an alarm says so', async () => {
    const sent: string[] = [];
    const carrier: Carrier = {
      send: async (_method, { body }) => {
        sent.push(body);
        return { delivered: true };
      },
    };
    const house = startHouse({ store: poisonedStore(), carrier });
    const messages = [...Array(10).keys()].map(good);
    expect(await offerAll(house, [...messages.slice(0, 4), poisonous, ...messages.slice(4)])).toEqual(
      Array(11).fill('fulfilled'),
    );
    expect(house.daemon.queries.house().readings).toMatchObject({ received: 10, refused: 1 });
    const { refused, byCode } = house.daemon.queries.refused();
    expect(byCode).toEqual({ 'not-storable': 1 });
    expect(refused).toMatchObject([
      {
        code: 'not-storable',
        reason: 'it could not be stored: not a whole\\u0000number \\u202e',
        device: 'bench-poison',
        topic: poisonous.topic,
        bytes: poisonous.payload.length,
        payload: new TextDecoder().decode(poisonous.payload),
      },
    ]);
    expect(house.daemon.world.places.has('bench-poison')).toBe(false);
    expect(asideAlarm(house)).toBeUndefined();
    house.hand.pass(1_000);
    expect(asideAlarm(house)).toMatchObject({
      placeId: null,
      state: 'unacknowledged',
      priority: 'medium',
      facts: { items: [{ what: `message on ${poisonous.topic}`, sinceMs: START_MS }] },
    });
    house.hand.pass(60_000);
    await new Promise<void>((resolve) => setImmediate(resolve));
    expect(sent.some((body) => body.includes('a message could not be stored'))).toBe(true);
  });

  test('leaves the same record as if it had never come, but for the refusal', async () => {
    const [with1, without] = [startHouse({ store: poisonedStore() }), startHouse({ store: poisonedStore() })];
    await offerAll(with1, [good(1), poisonous, good(2)]);
    await offerAll(without, [good(1), good(2)]);
    const readings = ({ store }: House) =>
      store.journal.window({ probeIds: [1, 2, 3], fromMs: 0, toMs: START_MS });
    expect(readings(with1)).toEqual(readings(without));
    expect([...with1.daemon.world.places.keys()]).toEqual([...without.daemon.world.places.keys()]);
  });

  test('is counted with its device, on Live messages and at the mapping that read it', async () => {
    const house = startHouse({ store: poisonedStore() });
    const values = [
      { pointer: '', probe: 'air/temperature', unit: 'Cel', scale: 1, offset: 0, optional: false },
    ];
    const mapping = { filter: 'shed/air', device: { kind: 'named', name: 'shed' }, placeId: null } as const;
    house.daemon.foreignMessages.addMapping({ ...mapping, time: { kind: 'arrival' }, values });
    const payload = new TextEncoder().encode(String(POISON));
    await offerAll(house, [
      { topic: 'shed/air', payload, arrivedAtMs: START_MS, retainedCopy: false },
      poisonous,
    ]);
    expect(house.daemon.foreignMessages.mappings().mappings).toMatchObject([
      { lastCode: 'not-storable', refused: 1, stored: 0 },
    ]);
    expect(house.daemon.devices.deliveries.tally('bench-poison')).toMatchObject({ packs: 1, refused: 1 });
  });

  test('raises an alarm that outlives a restart and clears an hour after the last, not before', async () => {
    const file = databaseFile();
    const house = startHouse({ store: poisonedStore(file) });
    await offerAll(house, [poisonous]);
    house.hand.pass(30 * MINUTE_MS);
    await offerAll(house, [{ ...poisonous, arrivedAtMs: house.hand.clock.nowMs() }]);
    house.hand.pass(QUIET_MS['message-set-aside']);
    expect(asideAlarm(house)?.returnedAtMs).toBeNull();
    house.daemon.stop();
    house.store.close();
    const again = startHouse({ store: poisonedStore(file), hand: house.hand });
    again.hand.pass(QUIET_MS['message-set-aside'] - MINUTE_MS);
    expect(asideAlarm(again)).toMatchObject({
      returnedAtMs: null,
      facts: { items: [{ sinceMs: START_MS }] },
    });
    again.hand.pass(2 * MINUTE_MS);
    expect(asideAlarm(again)).toMatchObject({ state: 'returned-unacknowledged' });
  });

  test(`${MOST_TROUBLES + 10} of as many devices are all counted, and the alarm names the first few`, async () => {
    const house = startHouse({ store: poisonedStore() });
    const all = Array.from({ length: MOST_TROUBLES + 10 }, (_, k) =>
      packOf([airRecord(POISON)], { device: `poison-${k}` }),
    );
    await offerAll(house, all);
    house.hand.pass(1_000);
    expect(house.daemon.queries.refused().byCode).toEqual({ 'not-storable': all.length });
    const { facts } = asideAlarm(house) ?? {};
    expect(facts?.kind === 'installation' && facts.items.length).toBe(5);
  });

  test('whose payload cannot be kept either is counted and shown without it', async () => {
    const inner = poisonedStore();
    const keep: Store['refusals']['keep'] = (refusal) => {
      if (refusal.payload !== '') throw new TypeError('not these bytes');
      inner.refusals.keep(refusal);
    };
    const house = startHouse({ store: { ...inner, refusals: { ...inner.refusals, keep } } });
    expect(await offerAll(house, [good(1), poisonous])).toEqual(['fulfilled', 'fulfilled']);
    expect(house.daemon.queries.refused().refused).toMatchObject([
      { code: 'not-storable', payload: '', reason: expect.stringContaining('its payload could not be kept') },
    ]);
  });
});

describe('judging that fails for 1 place of 2', () => {
  /** Judging searches for what a probe reported while it was in a bath: for one probe that goes wrong. */
  function misjudging(probeId: number) {
    const inner = openStore({ file: databaseFile(), nowMs: START_MS });
    const state = { broken: true };
    const isAway: Store['corrections']['isAway'] = (id, tMs) => {
      if (state.broken && id === probeId) throw new TypeError('a rule of ours');
      return inner.corrections.isAway(id, tMs);
    };
    const house = startHouse({ store: { ...inner, corrections: { ...inner.corrections, isAway } } });
    const reportHot = async (device: string) => {
      await house.report([airRecord(40)], device);
      house.hand.pass(61_000);
      await house.report([airRecord(40)], device);
    };
    return { house, state, reportHot };
  }
  const ceilings = ({ daemon }: House) =>
    daemon.queries.alarms().flatMap(({ rule, placeId }) => (rule === 'air-over-ceiling' ? placeId : []));

  test('stores its readings, judges the other place, and raises an alarm of high priority that names it', async () => {
    const { house, reportHot } = misjudging(1);
    await reportHot('bench-1');
    await reportHot('bench-2');
    house.hand.pass(2_000);
    expect(house.daemon.queries.refused().total).toBe(0);
    expect(
      house.store.journal.window({ probeIds: [1], fromMs: 0, toMs: 2 * START_MS })[0]?.values,
    ).toHaveLength(2);
    expect(ceilings(house)).toEqual(['bench-2']);
    expect(faultAlarm(house)).toMatchObject({
      priority: 'high',
      state: 'unacknowledged',
      facts: {
        items: expect.arrayContaining([
          { what: 'alarms of bench-1', detail: 'a rule of ours', sinceMs: expect.any(Number) },
        ]),
      },
    });
    expect(JSON.stringify(faultAlarm(house)?.facts)).not.toMatch(/bench-2|a turn/);
    expect(house.sent.filter(({ kind }) => kind === 'now').map(({ what }) => what)).toMatchObject([
      { placeId: 'bench-2' },
      { placeId: 'bench-2' },
    ]);
    expect(
      house.published
        .filter(({ topic }) => topic.startsWith('strikewell/1/places/'))
        .map(({ topic }) => topic),
    ).toContain('strikewell/1/places/bench-2/now');
  });

  test('is judged again once it no longer fails, and the alarm clears 10 min later', async () => {
    const { house, state, reportHot } = misjudging(1);
    await reportHot('bench-1');
    state.broken = false;
    house.hand.pass(1_000);
    await reportHot('bench-1');
    expect(ceilings(house)).toEqual(['bench-1']);
    house.hand.pass(QUIET_MS['monitoring-fault'] + 2_000);
    expect(faultAlarm(house)?.returnedAtMs).not.toBeNull();
  });
});

test('a step of an alarm that the store refuses stops no other alarm of that second, and somebody is woken', async () => {
  const inner = openStore({ file: databaseFile(), nowMs: START_MS });
  const save: Store['alarms']['save'] = (record) => {
    if (record.placeId === 'bench-1') throw new RangeError('not this alarm');
    inner.alarms.save(record);
  };
  const house = startHouse({ store: { ...inner, alarms: { ...inner.alarms, save } } });
  // in its band: nothing but its silence is an alarm
  const three = [2, 1, 0].map((ageS) => airRecord(23, { ageS }));
  await house.report(three, 'bench-1');
  await house.report(three, 'bench-2');
  house.hand.pass(8 * MINUTE_MS);
  const silent = house.daemon.queries.alarms().filter(({ rule }) => rule === 'no-data');
  expect(silent.map(({ placeId, raisedAtMs }) => [placeId, raisedAtMs !== null])).toEqual([
    ['bench-2', true],
  ]);
  expect(faultAlarm(house)).toMatchObject({ facts: { items: [{ what: 'alarm bench-1.no-data' }] } });
});

test('a turn of a timer that throws is noted, and comes round again', async () => {
  const house = startHouse();
  let thrown = 0;
  const facts = house.store.outbox.waiting;
  house.store.outbox.waiting = () => {
    thrown += 1;
    throw new TypeError('the facts of the house');
  };
  house.hand.pass(10_000);
  expect(thrown).toBeGreaterThan(2);
  house.store.outbox.waiting = facts;
  house.hand.pass(2_000);
  expect(faultAlarm(house)).toMatchObject({ facts: { items: [{ what: 'a turn of the daemon' }] } });
});
