import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { Fault } from '../../../../../shared/faults.ts';
import { airRecord, databaseFile, type House, START_MS, startHouse } from '../../support/house.ts';
import { ownHouse, ownLogin } from '../../support/owned.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY = { fromMs: START_MS - 24 * HOUR_MS, toMs: START_MS + 24 * HOUR_MS };
const PLACE = { kind: 'place', placeId: 'bench-1' } as const;
const root = (v: number) => ({ n: 'root/temperature', u: 'Cel', v });

/** Two benches with readings; bench-1 is over its ceiling, and its alarm is active. */
async function twoBenches(options: Parameters<typeof startHouse>[0] = {}): Promise<House> {
  const house = startHouse(options);
  for (let i = 0; i < 4; i++) {
    await house.report([airRecord(30), root(22), { n: 'spare/1', u: 'V', v: 3 }]);
    await house.report([airRecord(20)], 'bench-2');
    house.hand.pass(40_000);
  }
  house.daemon.orders.logVent('bench-1', { fromMs: START_MS, toMs: START_MS + MINUTE_MS, note: 'by hand' });
  return house;
}

/** All that is known of places, probes and alarms, and what their record comes to. */
function state({ daemon, store }: House) {
  const { queries } = daemon;
  const places = queries.places().toSorted((a, b) => a.id.localeCompare(b.id));
  return {
    places,
    alarms: queries.alarms().toSorted((a, b) => a.id.localeCompare(b.id)),
    // one that was never raised is made again when it is first needed
    records: [...daemon.world.alarms.values()]
      .filter(({ raisedAtMs }) => raisedAtMs !== null)
      .toSorted((a, b) => a.id.localeCompare(b.id)),
    probes: queries.probes().toSorted((a, b) => a.id - b.id),
    exposures: places.map(({ id }) => queries.exposures(id, DAY)),
    series: places.map(({ id }) => queries.series(id, { ...DAY, quantity: 'airTemperatureC', points: null })),
    vents: places.map(({ id }) => store.diary.vents(id)),
    cadences: [...daemon.world.cadencesKept].toSorted(([a], [b]) => a - b),
  };
}

const transitions = (house: House, alarmId: string) =>
  house.store.alarms.events(alarmId).map(({ transition, note }) => [transition, note]);

describe('a place', () => {
  test('deleted and restored is as if nothing had happened: places, probes, alarms, exposures, series', async () => {
    const house = await twoBenches();
    const before = state(house);
    expect(before.alarms.map(({ state: now }) => now)).toContain('unacknowledged');
    const { id, until } = house.daemon.archive.delete(PLACE, { by: 'owner' });
    // 30 days after 10:02:40
    expect(until).toBe('2026-07-01T10:02:40.000Z');
    expect(house.daemon.queries.places().map((place) => place.id)).toEqual(['bench-2']);
    house.daemon.archive.restore(id);
    expect(state(house)).toEqual(before);
    expect(house.daemon.archive.answer().items).toEqual([]);
  });

  test('the same with a restart in between', async () => {
    const house = await twoBenches();
    const again = () => startHouse({ store: house.store, hand: house.hand, keep: house.keep });
    const before = state(again());
    const { id } = again().daemon.archive.archive(PLACE);
    again().daemon.archive.restore(id);
    expect(state(again())).toEqual(before);
  });

  test('archived is not judged and raises nothing; its alarm ends as not judged, not as returned', async () => {
    const house = await twoBenches();
    house.daemon.archive.archive(PLACE, { by: 'owner' });
    expect(transitions(house, 'bench-1.air-over-ceiling')[0]).toEqual(['not-judged', 'archived']);
    house.hand.pass(10 * MINUTE_MS);
    expect(house.daemon.queries.alarms().filter(({ placeId }) => placeId === 'bench-1')).toEqual([]);
    expect(transitions(house, 'bench-1.air-over-ceiling')[0]).toEqual(['not-judged', 'archived']);
    // the other bench goes on, and has stopped reporting
    expect(house.daemon.queries.alarms().map(({ id }) => id)).toContain('bench-2.no-data');
    expect(house.sent).toContainEqual({ kind: 'placeGone', what: 'bench-1' });
  });

  test('archived clears its retained topics: the present state and every alarm', async () => {
    const house = await twoBenches();
    house.daemon.archive.archive(PLACE);
    house.hand.pass(10_000);
    const last = new Map(house.published.map(({ topic, payload }) => [topic, payload]));
    const retained = [...last].filter(([topic, payload]) => topic.includes('bench-1') && payload !== '');
    expect(retained).toEqual([]);
    expect(last.has('strikewell/1/places/bench-1/now')).toBe(true);
    expect(last.has('strikewell/1/alarms/bench-1.air-over-ceiling')).toBe(true);
  });

  test('people who were called are sent nothing untrue, and are called again once it is restored', async () => {
    const sent: string[] = [];
    const house = await twoBenches({
      carrier: {
        async send(_method, { body }) {
          sent.push(JSON.parse(body).type);
          return { delivered: true };
        },
      },
    });
    const settle = async () => {
      for (let i = 0; i < 5; i++) {
        house.hand.pass(1_000);
        await new Promise<void>((resolve) => setImmediate(resolve));
      }
    };
    await settle();
    expect(sent).toContain('alarm.raised');
    house.daemon.archive.archive(PLACE);
    await settle();
    expect(sent).not.toContain('alarm.returned');
    expect(house.store.people.dueCallings(START_MS * 2)).toEqual([]);
    const [item] = house.daemon.archive.answer().items;
    house.daemon.archive.restore(item?.id ?? 0);
    expect(house.store.people.dueCallings(START_MS * 2)).toContain('bench-1.air-over-ceiling');
  });

  test('what goes is named before it goes', async () => {
    const house = await twoBenches();
    expect(house.daemon.archive.contents(PLACE)).toEqual({
      places: [{ id: 'bench-1', name: 'bench-1' }],
      devices: ['bench-1'],
      probes: 3,
      readingsFrom: '2026-06-01T10:00:00.000Z',
      readingsTo: '2026-06-01T10:02:00.000Z',
      activeAlarms: 1,
      alarms: 1,
      entries: 1,
    });
  });

  test('its record can be exported while it is in the archive', async () => {
    const house = await twoBenches();
    const text = (what: 'readings' | 'alarms' | 'exposures') =>
      [
        ...house.daemon.exchange.exportOf('bench-1', { what, as: 'csv', by: 'day', fromMs: null, toMs: null })
          .chunks,
      ]
        .map((chunk) => chunk.text)
        .join('');
    const before = [text('readings'), text('exposures')];
    house.daemon.archive.delete(PLACE);
    expect([text('readings'), text('exposures')]).toEqual(before);
    expect(text('alarms')).toContain('not-judged');
  });

  test('without an owner password its device is refused as archived, kept and counted', async () => {
    const house = await twoBenches();
    house.daemon.archive.archive(PLACE);
    await house.report([airRecord(31)]);
    expect(house.daemon.queries.refused().refused).toMatchObject([{ code: 'archived', device: 'bench-1' }]);
    expect(house.daemon.queries.places().map(({ id }) => id)).toEqual(['bench-2']);
  });

  test('behind an owner password its device waits; accepting it restores the place with its record', async () => {
    const house = await twoBenches();
    ownHouse(house.store);
    house.daemon.archive.delete(PLACE);
    await house.report([airRecord(31)]);
    expect(house.daemon.waiting.answer().waiting).toMatchObject([{ device: 'bench-1', archived: true }]);
    house.daemon.waiting.accept('bench-1');
    const { points } = house.daemon.queries.series('bench-1', {
      ...DAY,
      quantity: 'airTemperatureC',
      points: null,
    });
    expect(points.map(({ value }) => value)).toEqual([30, 30, 30, 30, 31]);
    expect(house.daemon.archive.answer().items).toEqual([]);
  });
});

describe('a probe', () => {
  const airProbe = (house: House) =>
    house.daemon.queries
      .probes()
      .find(({ device, name }) => device === 'bench-1' && name === 'air/temperature');
  const targetOf = (house: House) => ({ kind: 'probe', probeId: airProbe(house)?.id ?? 0 }) as const;

  test('archived ends the alarm that rested on it alone; the place goes on with the others', async () => {
    const house = await twoBenches();
    house.daemon.archive.archive(targetOf(house), { by: 'owner' });
    expect(transitions(house, 'bench-1.air-over-ceiling')[0]).toEqual(['not-judged', 'archived']);
    expect(house.daemon.queries.alarms()).toMatchObject([{ state: 'normal' }]);
    await house.report([airRecord(33), root(23)]);
    expect(Object.keys(house.daemon.queries.now('bench-1').quantities)).toEqual(['rootZoneTemperatureC']);
    expect(house.daemon.archive.answer().items).toMatchObject([
      { kind: 'probe', name: 'bench-1/air/temperature', leftOut: 1 },
    ]);
  });

  test('archived and restored, its alarm is as it was', async () => {
    const house = await twoBenches();
    const before = state(house);
    const { id } = house.daemon.archive.archive(targetOf(house));
    house.daemon.archive.restore(id);
    expect(state(house)).toEqual(before);
    expect(transitions(house, 'bench-1.air-over-ceiling')[0]).toEqual(['judged-again', 'restored']);
  });

  test('cannot be restored into a place that is in the archive: the place comes first', async () => {
    const house = await twoBenches();
    const probe = house.daemon.archive.archive(targetOf(house));
    const place = house.daemon.archive.archive(PLACE);
    expect(() => house.daemon.archive.restore(probe.id)).toThrow('restore it first');
    house.daemon.archive.restore(place.id);
    house.daemon.archive.restore(probe.id);
    expect(airProbe(house)).toMatchObject({ placeId: 'bench-1' });
  });
});

describe('a device', () => {
  test('goes with its probes, the place it alone reports for, and its login; restoring brings all back', async () => {
    const house = await twoBenches();
    ownLogin(house.store, 'bench-1');
    const before = state(house);
    const { id } = house.daemon.archive.archive({ kind: 'device', device: 'bench-1' });
    expect(house.store.access.device('bench-1')?.state).toBe('retired');
    expect(house.daemon.queries.places().map((place) => place.id)).toEqual(['bench-2']);
    house.daemon.archive.restore(id);
    expect(house.store.access.device('bench-1')?.state).toBe('enabled');
    expect(state(house)).toEqual(before);
  });

  test('of which nothing is known is not found', async () => {
    const house = await twoBenches();
    expect(() => house.daemon.archive.archive({ kind: 'device', device: 'bench-9' })).toThrow(
      'Nothing is known',
    );
  });
});

test('a commit that fails changes nothing: the place is still there, and so is its alarm', async () => {
  const file = databaseFile();
  const store = openStore({ file, nowMs: START_MS });
  let failing = false;
  const house = await twoBenches({
    store: {
      ...store,
      transaction: (work) =>
        store.transaction(() => {
          const result = work();
          if (failing) throw new Error('database or disk is full');
          return result;
        }),
    },
  });
  const known = () => {
    const { places, probes, exposures, alarms } = state(house);
    // what an alarm only remembers of its newest reading is taken from the record again
    return { places, probes, exposures, alarms: alarms.map(({ id, state: now }) => [id, now]) };
  };
  const before = known();
  failing = true;
  expect(() => house.daemon.archive.delete(PLACE)).toThrow('could not keep the change');
  failing = false;
  expect(known()).toEqual(before);
});

const target = fc.oneof(
  fc.constantFrom('bench-1', 'bench-2').map((placeId) => ({ kind: 'place' as const, placeId })),
  fc.constantFrom('bench-1', 'bench-2').map((device) => ({ kind: 'device' as const, device })),
  fc.integer({ min: 1, max: 4 }).map((probeId) => ({ kind: 'probe' as const, probeId })),
);
const deed = fc.record({ target, deleted: fc.boolean(), restart: fc.boolean() });

test('whatever is archived or deleted, once all is restored nothing has happened', async () => {
  await fc.assert(
    fc.asyncProperty(fc.array(deed, { minLength: 1, maxLength: 5 }), async (deeds) => {
      let house = await twoBenches();
      const again = () => startHouse({ store: house.store, hand: house.hand, keep: house.keep });
      if (deeds.some(({ restart }) => restart)) house = again();
      const before = state(house);
      const items: number[] = [];
      for (const { target: of, deleted, restart } of deeds) {
        if (restart) house = again();
        try {
          items.push((deleted ? house.daemon.archive.delete(of) : house.daemon.archive.archive(of)).id);
        } catch (cause) {
          // it is in the archive already
          if (!(cause instanceof Fault)) throw cause;
        }
      }
      for (const id of items.toReversed()) house.daemon.archive.restore(id);
      expect(state(house)).toEqual(before);
      house.store.close();
    }),
    { numRuns: 15 },
  );
});
