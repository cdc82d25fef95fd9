import { expect, test } from 'vitest';
import type { Place } from '../../../../../shared/model/place.ts';
import { START_MS, startHouse } from '../../support/house.ts';

const HOUR_MS = 3_600_000;

test('batches of the demo are no part of what a grower’s own batches are fitted to', async () => {
  const house = startHouse();
  const { batches, world } = house.daemon;
  for (const device of ['bench-1', 'bench-2'])
    await house.report(
      Array.from({ length: 31 }, (_, i) => ({
        n: 'root/temperature',
        u: 'Cel',
        v: 24,
        t: -600 * (30 - i),
      })),
      device,
    );
  const stuckMs = START_MS - 4 * HOUR_MS;
  const order = { crop: 'Poinsettia', sheetId: 'poinsettia', stuckMs, count: 10, details: {} };
  const finished = batches.add({ ...order, placeId: 'bench-2' });
  const counted = (atMs: number, rooted: number) =>
    batches.addCount(finished.id, { atMs, count: { looked: 10, rooted } });
  counted(START_MS - 3 * HOUR_MS, 2);
  counted(START_MS - HOUR_MS, 8);
  const { id } = batches.add({ ...order, placeId: 'bench-1' });
  expect(batches.rooting(id).batches).toBe(1);
  world.places.set('bench-2', { ...(world.places.get('bench-2') as Place), invented: true });
  expect(batches.rooting(id).batches).toBe(0);
  house.daemon.stop();
});
