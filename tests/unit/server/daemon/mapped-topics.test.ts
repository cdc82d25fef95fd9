import { describe, expect, test } from 'vitest';
import type { NewMapping } from '../../../../shared/model/probes/mapping.ts';
import { foreign, MAPPING } from '../support/foreign.ts';
import { START_MS, startHouse } from '../support/house.ts';

describe('mapped topics', () => {
  test('a foreign message is stored, makes a place and is live; by its device and time it is stored once', async () => {
    const house = startHouse();
    house.daemon.foreignMessages.addMapping(MAPPING);
    const message = foreign(house, { t: 70.7, b: 80 });
    for (let time = 0; time < 2; time++) await house.send(message);
    // 70.7 °F − 32 = 38.7; × 5/9 = 21.5
    expect(house.daemon.queries.now('east').quantities['airTemperatureC']?.value).toBeCloseTo(21.5, 9);
    expect(house.daemon.queries.house().readings).toMatchObject({ received: 2, refused: 0, conflicts: 0 });
    expect(house.daemon.foreignMessages.mappings().mappings).toMatchObject([
      {
        id: 1,
        stored: 2,
        refused: 0,
        lastTopic: 'house/east/climate',
        lastCode: null,
        lastAt: new Date(START_MS).toISOString(),
      },
    ]);
    house.hand.pass(300);
    expect(house.sent.some(({ kind }) => kind === 'now')).toBe(true);
  });

  test('a wrong message is a refused pack like any other, with the pointer into it', async () => {
    const house = startHouse();
    house.daemon.foreignMessages.addMapping(MAPPING);
    await house.send(foreign(house, { t: 'warm' }));
    await house.send(foreign(house, { b: 80 }));
    await house.send(foreign(house, { t: 70 }, 'house/bed 3/climate'));
    expect(house.daemon.queries.refused()).toMatchObject({
      refused: [
        { code: 'mapped-device', pointer: null, device: null, topic: 'house/bed 3/climate' },
        { code: 'mapped-nothing', pointer: '/t', device: 'east', payload: '{"b":80}' },
        { code: 'mapped-no-number', pointer: '/t', device: 'east', topic: 'house/east/climate' },
      ],
      byCode: { 'mapped-device': 1, 'mapped-nothing': 1, 'mapped-no-number': 1 },
    });
    expect(house.daemon.foreignMessages.mappings().mappings).toMatchObject([
      { stored: 0, refused: 3, lastCode: 'mapped-device' },
    ]);
    expect(house.daemon.queries.probes()).toEqual([]);
  });

  test('its probes come to the place it names; where there is none, to one of the device’s name', async () => {
    const house = startHouse();
    await house.report([{ n: 'root/temperature', u: 'Cel', v: 22 }], 'sill');
    house.daemon.foreignMessages.addMapping({ ...MAPPING, placeId: 'sill' });
    await house.send(foreign(house, { t: 70.7 }));
    expect(house.daemon.queries.places().map(({ id }) => id)).toEqual(['sill']);
    expect(house.daemon.queries.now('sill').quantities['airTemperatureC']?.value).toBeCloseTo(21.5, 9);
    house.daemon.foreignMessages.updateMapping(1, { ...MAPPING, placeId: 'gone' });
    await house.send(foreign(house, { t: 68 }, 'house/west/climate'));
    expect(house.daemon.queries.places().map(({ id }) => id)).toEqual(['sill', 'west']);
  });

  test('an air of 28.4 °C that a mapping reads raises the ceiling alarm after its delay', async () => {
    const house = startHouse();
    house.daemon.foreignMessages.addMapping(MAPPING);
    // 83.12 °F − 32 = 51.12; × 5/9 = 28.4, above the ceiling of 26.7
    for (let count = 0; count < 10; count++) {
      await house.send(foreign(house, { t: 83.12 }));
      house.hand.pass(10_000);
    }
    expect(house.daemon.queries.alarms()).toMatchObject([{ rule: 'air-over-ceiling', placeId: 'east' }]);
  });

  test('a change holds for the next message; after its removal nothing is read, and what is stored stays', async () => {
    const house = startHouse();
    const { id } = house.daemon.foreignMessages.addMapping(MAPPING);
    await house.send(foreign(house, { t: 70.7 }));
    const celsius = { ...MAPPING, values: [{ ...MAPPING.values[0], unit: 'Cel' }] } as NewMapping;
    house.daemon.foreignMessages.updateMapping(id, celsius);
    house.hand.pass(10_000);
    await house.send(foreign(house, { t: 22 }));
    expect(house.daemon.queries.probes()).toMatchObject([{ latest: { value: 22 } }]);
    house.daemon.foreignMessages.removeMapping(id);
    house.hand.pass(10_000);
    await house.send(foreign(house, { t: 23 }));
    expect(house.daemon.queries.probes()).toMatchObject([{ latest: { value: 22 } }]);
    expect(house.daemon.queries.refused().total).toBe(0);
  });

  test('mappings are there again after a restart, and the filters are reported at each change', () => {
    const filters: (readonly string[])[] = [];
    const house = startHouse({ onFilters: (wanted) => filters.push(wanted) });
    house.daemon.foreignMessages.addMapping(MAPPING);
    house.daemon.foreignMessages.addMapping({ ...MAPPING, filter: 'shed/#' });
    house.daemon.foreignMessages.removeMapping(1);
    const again = startHouse({ store: house.store, onFilters: (wanted) => filters.push(wanted) });
    expect(filters).toEqual([[], ['house/+/climate'], ['house/+/climate', 'shed/#'], ['shed/#'], ['shed/#']]);
    expect(again.daemon.foreignMessages.mappings().mappings).toMatchObject([
      { id: 2, filter: 'shed/#', stored: 0 },
    ]);
  });

  test('a filter that shares a topic with another is refused, also when one is changed; mappings are no more than 100', () => {
    const { foreignMessages } = startHouse().daemon;
    foreignMessages.addMapping(MAPPING);
    const shared = { ...MAPPING, filter: 'house/east/#' };
    expect(() => foreignMessages.addMapping(shared)).toThrow(/shares topics with "house\/\+\/climate"/);
    const { id } = foreignMessages.addMapping({ ...MAPPING, filter: 'shed/#' });
    expect(() => foreignMessages.updateMapping(id, shared)).toThrow(/shares topics/);
    foreignMessages.updateMapping(id, { ...MAPPING, filter: 'shed/+' });
    for (let count = 2; count < 100; count++)
      foreignMessages.addMapping({ ...MAPPING, filter: `shed/${count}/a` });
    expect(() => foreignMessages.addMapping({ ...MAPPING, filter: 'one/more' })).toThrow(
      /There are 100 mappings/,
    );
    expect(() => foreignMessages.removeMapping(1_000)).toThrow(/There is no mapping 1000/);
  });
});
