import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { MAX_WAITING_DEVICES, MAX_WAITING_PACKS } from '../../../../../server/domain/lifecycle/waiting.ts';
import { airRecord, type House, packOf, type SentRecord, START_MS, startHouse } from '../../support/house.ts';
import { ownHouse, ownLogin } from '../../support/owned.ts';

const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;
const DAY = { fromMs: START_MS - 24 * HOUR_MS, toMs: START_MS + 24 * HOUR_MS };
const AS_IT_IS = { scale: 1, offset: 0, optional: false };
const QUANTITIES = ['airTemperatureC', 'rootZoneTemperatureC', 'relativeHumidityPct', 'airVpdKpa'] as const;

function ownedHouse(): House {
  const house = startHouse();
  ownHouse(house.store);
  return house;
}

const waitingIn = ({ daemon }: House) => daemon.waiting.answer().waiting.map(({ device }) => device);

describe('behind an owner password', () => {
  test('a new device waits: nothing of it is stored, 2 packs are kept and counted', async () => {
    const house = ownedHouse();
    await house.report([airRecord(24)]);
    await house.report([airRecord(25)]);
    expect(house.store.places.all()).toEqual([]);
    expect(house.daemon.waiting.answer().waiting).toMatchObject([
      { device: 'bench-1', received: 2, kept: 2, dropped: 0, archived: false },
    ]);
    expect(house.daemon.queries.house().waiting).toEqual({ devices: 1, ignored: 0 });
  });

  test('accepted 40 min later, its readings stand at the times at which they were read, and what is late raises nothing', async () => {
    const house = ownedHouse();
    // 30 °C are over the ceiling of 26.7 °C for 20 minutes
    for (let minute = 0; minute < 20; minute++) {
      await house.report([airRecord(30)]);
      house.hand.pass(MINUTE_MS);
    }
    house.hand.pass(20 * MINUTE_MS);
    const result = house.daemon.waiting.accept('bench-1');
    expect(result).toEqual({ device: 'bench-1', stored: 20, refused: 0, dropped: 0 });
    const { points } = house.daemon.queries.series('bench-1', {
      ...DAY,
      quantity: 'airTemperatureC',
      points: null,
    });
    expect(points.map(({ t }) => Date.parse(t))).toEqual(
      Array.from({ length: 20 }, (_, i) => START_MS + i * MINUTE_MS),
    );
    house.hand.pass(1_000);
    const raised = house.daemon.queries.alarms().map(({ rule }) => rule);
    expect(raised.filter((rule) => rule !== 'no-data')).toEqual([]);
    expect(waitingIn(house)).toEqual([]);
    // from now on it is a device like any other
    await house.report([airRecord(31)]);
    expect(house.daemon.queries.now('bench-1').quantities.airTemperatureC?.value).toBe(31);
  });

  test('what waits is there after a restart', async () => {
    const house = ownedHouse();
    await house.report([airRecord(24, { ageS: 90 })]);
    const again = startHouse({ store: house.store, hand: house.hand });
    expect(again.daemon.waiting.accept('bench-1').stored).toBe(1);
    expect(again.daemon.queries.now('bench-1').newestAt).toBe(new Date(START_MS - 90_000).toISOString());
  });

  test('a device with a login of its own never waits, and one that is given a login is accepted by that', async () => {
    const house = ownedHouse();
    ownLogin(house.store, 'bench-2');
    await house.report([airRecord(24)], 'bench-2');
    expect([...house.daemon.world.places.keys()]).toEqual(['bench-2']);
    await house.report([airRecord(24)]);
    ownLogin(house.store, 'bench-1');
    house.daemon.waiting.acceptIfWaiting('bench-1');
    expect([...house.daemon.world.places.keys()]).toEqual(['bench-2', 'bench-1']);
  });

  test('a device that was known before the password goes on', async () => {
    const house = startHouse();
    await house.report([airRecord(24)]);
    ownHouse(house.store);
    await house.report([airRecord(25), { n: 'root/temperature', u: 'Cel', v: 22 }]);
    expect(house.store.probes.all()).toHaveLength(2);
    expect(waitingIn(house)).toEqual([]);
  });

  test('a new device that a mapping reads waits too, and is stored where the mapping wants it', async () => {
    const house = startHouse();
    await house.report([airRecord(20)]);
    ownHouse(house.store);
    house.daemon.foreignMessages.addMapping({
      filter: 'foreign/+/t',
      device: { kind: 'level', level: 2 },
      placeId: 'bench-1',
      time: { kind: 'arrival' },
      values: [{ pointer: '', probe: 'root/temperature', unit: 'Cel', ...AS_IT_IS }],
    });
    await house.send({
      topic: 'foreign/plug-9/t',
      payload: new TextEncoder().encode('21.5'),
      arrivedAtMs: house.hand.clock.nowMs(),
      retainedCopy: false,
    });
    expect(waitingIn(house)).toEqual(['plug-9']);
    house.daemon.waiting.accept('plug-9');
    expect(house.store.probes.all()).toMatchObject([{}, { device: 'plug-9', placeId: 'bench-1' }]);
  });

  test(`${MAX_WAITING_DEVICES} wait at most: the pack of another is kept among the refused and counted`, async () => {
    const house = ownedHouse();
    for (let i = 0; i <= MAX_WAITING_DEVICES; i++) await house.report([airRecord(24)], `new-${i}`);
    expect(waitingIn(house)).toHaveLength(MAX_WAITING_DEVICES);
    expect(house.daemon.waiting.answer().turnedAway).toBe(1);
    expect(house.daemon.queries.refused().refused).toMatchObject([
      { code: 'waiting-list-full', device: `new-${MAX_WAITING_DEVICES}` },
    ]);
    // one of them is ignored: then there is room
    house.daemon.waiting.ignore('new-0', { by: 'owner' });
    await house.report([airRecord(24)], 'late');
    expect(waitingIn(house)).toContain('late');
  });

  test('an ignored device does not come back to the list, its packs are counted, and that can be undone', async () => {
    const house = ownedHouse();
    await house.report([airRecord(24)]);
    house.daemon.waiting.ignore('bench-1', { by: 'owner' });
    await house.report([airRecord(25)]);
    expect(house.daemon.waiting.answer()).toMatchObject({
      waiting: [],
      ignored: [{ device: 'bench-1', received: 2, kept: 1, dropped: 1, decidedBy: 'owner' }],
    });
    house.daemon.waiting.unignore('bench-1');
    await house.report([airRecord(26)]);
    expect(house.daemon.waiting.accept('bench-1')).toEqual({
      device: 'bench-1',
      stored: 1,
      refused: 0,
      dropped: 1,
    });
    expect(house.daemon.waiting.answer().dropped).toBe(1);
  });

  test(`of one device the newest ${MAX_WAITING_PACKS} packs are kept; what is dropped is counted and shown`, async () => {
    const house = ownedHouse();
    const more = 3;
    const offers = Array.from({ length: MAX_WAITING_PACKS + more }, (_, i) =>
      house.daemon.inbox.offer(packOf([airRecord(24)], { arrivedAtMs: START_MS + i })),
    );
    house.hand.settle();
    await Promise.all(offers);
    expect(house.daemon.waiting.answer().waiting).toMatchObject([
      { received: MAX_WAITING_PACKS + more, kept: MAX_WAITING_PACKS, dropped: more },
    ]);
    const { stored } = house.daemon.waiting.accept('bench-1');
    expect(stored).toBe(MAX_WAITING_PACKS);
    expect(house.store.journal.oldestMs([1])).toBe(START_MS + more);
  });

  test('a commit that fails while it is accepted changes nothing: it waits on, and is accepted the next time', async () => {
    const house = ownedHouse();
    await house.report([airRecord(24)]);
    const { transaction } = house.store;
    const broken = startHouse({
      hand: house.hand,
      store: {
        ...house.store,
        transaction: (work) =>
          transaction(() => {
            work();
            throw new Error('database or disk is full');
          }),
      },
    });
    expect(() => broken.daemon.waiting.accept('bench-1')).toThrow('could not keep the change');
    expect([...broken.daemon.world.places.keys()]).toEqual([]);
    const again = startHouse({ store: house.store, hand: house.hand });
    expect(again.daemon.waiting.accept('bench-1').stored).toBe(1);
  });

  test('what waits is named on Live messages', async () => {
    const house = ownedHouse();
    house.daemon.foreignMessages.watch();
    await house.report([airRecord(24)]);
    const { messages } = house.daemon.foreignMessages.watched({ afterId: 0 });
    expect(messages).toMatchObject([{ verdict: { outcome: 'waiting', device: 'bench-1' } }]);
  });
});

test('without an owner password all is as ever: the first pack makes its place', async () => {
  const house = startHouse();
  await house.report([airRecord(24)]);
  expect([...house.daemon.world.places.keys()]).toEqual(['bench-1']);
  expect(waitingIn(house)).toEqual([]);
});

const UNITS = { 'air/temperature': 'Cel', 'root/temperature': 'Cel', 'air/humidity': '%RH' } as const;
const record = fc
  .record({
    n: fc.constantFrom(...(Object.keys(UNITS) as (keyof typeof UNITS)[])),
    tenths: fc.integer({ min: 50, max: 400 }),
    ageS: fc.oneof(fc.constant(0), fc.nat(7_200)),
  })
  .map(({ n, tenths, ageS }): SentRecord => ({ n, u: UNITS[n], v: tenths / 10, t: -ageS }));
const story = fc.array(
  fc.record({
    afterS: fc.integer({ min: 1, max: 240 }),
    records: fc.array(record, { minLength: 1, maxLength: 6 }),
    device: fc.constantFrom('bench-1', 'bench-1', 'bench-2'),
  }),
  { minLength: 1, maxLength: 14 },
);

/** All that a record comes to. */
function comesTo(house: House) {
  const { queries } = house.daemon;
  return queries.places().map(({ id }) => ({
    id,
    exposures: queries.exposures(id, DAY),
    series: QUANTITIES.map((quantity) => queries.series(id, { ...DAY, quantity, points: null })),
    probes: queries
      .probes()
      .filter(({ placeId }) => placeId === id)
      .map(({ id: _id, ...probe }) => ({ ...probe, latest: probe.latest && { ...probe.latest, probeId: 0 } }))
      .toSorted((a, b) => a.name.localeCompare(b.name)),
    cadences: house.store.probes
      .all()
      .filter(({ placeId }) => placeId === id)
      .map(({ id: probeId, name }) => [name, house.store.journal.progressOf(probeId)?.cadenceMs]),
  }));
}

test('accepted after waiting is as accepted from the start: exposures, series, probes and cadences are equal', async () => {
  await fc.assert(
    fc.asyncProperty(story, async (steps) => {
      const [waited, open] = [ownedHouse(), startHouse()];
      for (const { afterS, records, device } of steps)
        for (const house of [waited, open]) {
          house.hand.pass(afterS * 1_000);
          await house.report(records, device);
        }
      for (const { id } of open.daemon.queries.places()) waited.daemon.waiting.accept(id);
      expect(comesTo(waited)).toEqual(comesTo(open));
      for (const house of [waited, open]) {
        house.daemon.stop();
        house.store.close();
      }
    }),
    { numRuns: 12 },
  );
});
