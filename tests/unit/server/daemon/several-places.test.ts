import { expect, test } from 'vitest';
import { packOf, startHouse } from '../support/house.ts';

async function houseOfTwo() {
  const house = startHouse();
  for (const device of ['bench-1', 'bench-2'])
    await house.send(packOf([{ n: 'air/temperature', u: 'Cel', v: 20 }], { device }));
  return house;
}

test('two places get a name, zone, alarms and bands in one go, a third that is not there is named, and a page is told of both', async () => {
  const { daemon, sent, store } = await houseOfTwo();
  const before = daemon.queries.targets('bench-1');
  const targets = { ...before, air: { ...before.air, ceilingC: 31 } };
  const alarms = { 'light-over-peak': { on: false } };
  sent.length = 0;
  const answer = daemon.orders.changePlaces([
    { placeId: 'bench-1', name: 'Mist 1', zone: 'North', targets },
    { placeId: 'gone', zone: 'North' },
    { placeId: 'bench-2', zone: 'North', alarms },
  ]);
  expect(answer).toEqual({
    changed: ['bench-1', 'bench-2'],
    refused: [{ placeId: 'gone', reason: 'There is no place "gone".' }],
  });
  const [one, two] = ['bench-1', 'bench-2'].map((id) => daemon.queries.place(id));
  expect(one?.settings).toMatchObject({ zone: 'North', questionsOpen: false });
  expect([one?.name, two?.name]).toEqual(['Mist 1', 'bench-2']);
  expect(one?.targets.air.ceilingC).toBe(31);
  expect(two?.settings).toMatchObject({ zone: 'North', alarms });
  expect(two?.targets.air.ceilingC).toBe(before.air.ceilingC);
  expect(sent.filter(({ kind }) => kind === 'place')).toHaveLength(2);
  expect(store.places.all().map(({ settings }) => settings.zone)).toEqual(['North', 'North']);
});

test('a record that fails at the second place leaves the first as it was, in memory and on disk', async () => {
  const { daemon, store } = await houseOfTwo();
  const { places } = store;
  const update = places.update;
  let calls = 0;
  places.update = (place) => {
    calls += 1;
    if (calls === 2) throw new Error('disk full');
    update.call(places, place);
  };
  const change = () =>
    daemon.orders.changePlaces([
      { placeId: 'bench-1', zone: 'North' },
      { placeId: 'bench-2', zone: 'North' },
    ]);
  expect(change).toThrow(/could not keep the change/);
  places.update = update;
  expect(daemon.queries.place('bench-1').settings.zone).toBeNull();
  expect(store.places.all().map(({ settings }) => settings.zone)).toEqual([null, null]);
});
