import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { Fault } from '../../../../../shared/faults.ts';
import { failingStore } from '../../support/failing-store.ts';
import { clockByHand } from '../../support/hand.ts';
import { airRecord, databaseFile, START_MS, startHouse, TARGET_SHEET_FILE } from '../../support/house.ts';

const HOUR_MS = 3_600_000;
const at = (hours: number) => START_MS + hours * HOUR_MS;

/** A house with two benches that reported every quarter of an hour of the last two hours. */
async function twoBenches(store = openStore({ file: databaseFile(), nowMs: START_MS })) {
  const hand = clockByHand(START_MS);
  const house = startHouse({ hand, store });
  for (const device of ['bench-1', 'bench-2'])
    for (let ageS = 7_200; ageS >= 0; ageS -= 900) await house.report([airRecord(22, { ageS })], device);
  return { house, hand };
}

const order = {
  placeId: 'bench-1',
  crop: 'Coleus',
  sheetId: 'poinsettia',
  stuckMs: at(-2),
  count: 10,
  details: {},
};

describe('a place that goes', () => {
  test('to the archive takes its readings from the batch, which says so; restored it has them again', async () => {
    const { house } = await twoBenches();
    const { batches, archive, world } = house.daemon;
    const { id } = batches.add(order);
    const before = batches.exposures(id);
    expect(before.whole.air.coveredHours).toBeCloseTo(2, 9);
    const item = archive.archive({ kind: 'place', placeId: 'bench-1' }, { by: null });
    expect(item.entries).toBe(1);
    expect(batches.exposures(id)).toMatchObject({
      whole: { air: { coveredHours: 0 } },
      missing: [{ placeId: 'bench-1' }],
    });
    expect(batches.get(id)).toMatchObject({ placeId: 'bench-1', leading: true });
    batches.addStage(id, { stage: 'rooting', fromMs: at(-1) });
    archive.restore(item.id);
    expect(batches.exposures(id).whole.air.coveredHours).toBeCloseTo(2, 9);
    expect(world.targets('bench-1', at(0))).not.toEqual(world.targets('bench-1', at(-1.5)));
    house.daemon.stop();
  });

  test('for good takes the batch that stood nowhere else; one that came from there stays, without it', async () => {
    const { house, hand } = await twoBenches();
    const { batches, archive } = house.daemon;
    const alone = batches.add(order).id;
    const moved = batches.add(order).id;
    const come = batches.add({ ...order, placeId: 'bench-2' }).id;
    batches.move(moved, { placeId: 'bench-2', fromMs: at(-1) });
    batches.move(come, { placeId: 'bench-1', fromMs: at(-1) });
    batches.setLeading('bench-1', { batchId: come, fromMs: null });
    const item = archive.delete({ kind: 'place', placeId: 'bench-1' }, { by: null });
    archive.deleteItem(item.id, { now: true, by: null });
    hand.pass(5_000);
    expect(batches.list({ placeId: null, state: null }).map(({ id }) => id)).toEqual([come, moved]);
    expect(() => batches.get(alone)).toThrow(Fault);
    expect(batches.get(moved).stays.map(({ placeId }) => placeId)).toEqual([null, 'bench-2']);
    expect(batches.get(come)).toMatchObject({ placeId: null, leading: false });
    const { whole, missing } = batches.exposures(moved);
    expect(whole.air.coveredHours).toBeCloseTo(1, 6);
    expect(missing).toMatchObject([{ placeId: null }]);
    expect(batches.leading('bench-2')).toMatchObject({ batchId: moved });
    house.daemon.stop();
  });
});

test('an order that fails at any of its writes leaves batches, bands and exposures as they were', async () => {
  const failing = failingStore(openStore({ file: databaseFile(), nowMs: START_MS }));
  const { house, hand } = await twoBenches(failing.store);
  const { batches, queries, world } = house.daemon;
  const span = { fromMs: at(-2), toMs: at(0) };
  const before = queries.exposures('bench-1', span);
  let failed = 0;
  for (let n = 1; n < 10; n += 1) {
    failing.failAt(n);
    try {
      batches.add(order);
      break;
    } catch (cause) {
      expect(cause).toMatchObject({ code: 'store-failed' });
      failed += 1;
    }
    failing.mend();
    // the record is tried again every 5 s
    hand.pass(6_000);
    expect(batches.list({ placeId: null, state: null })).toEqual([]);
    expect(world.targets('bench-1', at(0))).toEqual(TARGET_SHEET_FILE.targets);
    expect(queries.exposures('bench-1', span)).toEqual(before);
  }
  expect(failed).toBeGreaterThanOrEqual(2);
  failing.mend();
  expect(batches.list({ placeId: null, state: null })).toHaveLength(1);
  expect(queries.exposures('bench-1', span)).not.toEqual(before);
  house.daemon.stop();
});
