import { beforeAll, describe, expect, test } from 'vitest';
import { MAX_PROBES_PER_DEVICE, MAX_SHARED_PROBES } from '../../../../../server/domain/lifecycle/quotas.ts';
import { airRecord, type House, packOf, START_MS, startHouse } from '../../support/house.ts';
import { ownLogin } from '../../support/owned.ts';

const DEVICES = MAX_SHARED_PROBES / MAX_PROBES_PER_DEVICE;

let house: House;

const invented = (device: number, count: number, from = 0) =>
  packOf(
    Array.from({ length: count }, (_, i) => ({ n: `name-${from + i}`, v: 1 })),
    { device: `flood-${device}`, arrivedAtMs: START_MS },
  );

beforeAll(async () => {
  house = startHouse();
  const offers = Array.from({ length: DEVICES }, (_, i) =>
    house.daemon.inbox.offer(invented(i, MAX_PROBES_PER_DEVICE)),
  );
  house.hand.settle();
  await Promise.all(offers);
});

describe(`after ${MAX_SHARED_PROBES} made-up names`, () => {
  test('all of them are kept, and one more of a device without a login of its own is refused with the limit', async () => {
    expect(house.daemon.queries.probes()).toHaveLength(MAX_SHARED_PROBES);
    await house.report([airRecord(24)], 'bench-1');
    expect(house.daemon.queries.refused().refused).toMatchObject([
      {
        code: 'too-many-probes',
        reason: '1 new probes, and only 0 more are kept: 5000 for all devices without a login of their own',
      },
    ]);
  });

  test('a new device with a login of its own joins', async () => {
    ownLogin(house.store, 'bench-2');
    await house.report([airRecord(24)], 'bench-2');
    expect(house.daemon.queries.now('bench-2').quantities.airTemperatureC?.value).toBe(24);
  });

  test('deleting a device makes room again at once', async () => {
    house.daemon.archive.delete({ kind: 'device', device: 'flood-0' });
    await house.report([airRecord(24)], 'bench-1');
    expect(house.daemon.queries.now('bench-1').quantities.airTemperatureC?.value).toBe(24);
  });

  test('one device brings 200 at most, whatever room there is', async () => {
    house.daemon.archive.delete({ kind: 'device', device: 'flood-1' });
    await house.send(invented(2, 1, 500));
    expect(house.daemon.queries.refused().refused[0]?.reason).toBe(
      '1 new probes, and only 0 more are kept: 200 a device',
    );
  });
});
