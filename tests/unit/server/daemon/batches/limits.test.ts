import { expect, test } from 'vitest';
import { MAX_BATCHES, MAX_ENTRIES, NO_DETAILS } from '../../../../../shared/model/cuttings/batch.ts';
import { airRecord, START_MS, startHouse } from '../../support/house.ts';

const MINUTE_MS = 60_000;
const STUCK_MS = START_MS - 300 * MINUTE_MS;
/** Most choices of a leading batch that are kept of one place. */
const MAX_CHOICES = 5_000;
const order = {
  placeId: 'bench-1',
  crop: 'Coleus',
  sheetId: 'poinsettia',
  stuckMs: STUCK_MS,
  count: 10,
  details: {},
};

async function oneBench() {
  const house = startHouse();
  await house.report([airRecord(22)]);
  return house;
}

test(`${MAX_ENTRIES} stages of a batch are kept, one more is refused, and one from the same time takes its place`, async () => {
  const house = await oneBench();
  const { batches } = house.daemon;
  const { id } = batches.add(order);
  house.store.transaction(() => {
    for (let n = 2; n <= MAX_ENTRIES; n += 1) {
      const entry = { batchId: Number(id), n, fromMs: STUCK_MS + n * MINUTE_MS, entered: n };
      house.store.batches.putStage({ ...entry, stage: 'rooting' });
    }
  });
  const again = { stage: 'toning', fromMs: STUCK_MS + 7 * MINUTE_MS } as const;
  expect(batches.addStage(id, again).stages).toHaveLength(MAX_ENTRIES);
  const further = { ...again, fromMs: STUCK_MS + MINUTE_MS };
  expect(() => batches.addStage(id, further)).toThrow(`at most ${MAX_ENTRIES} entries`);
  house.daemon.stop();
});

test(`of ${MAX_BATCHES} batches the one that was deleted first makes room; where none was, no more are taken`, async () => {
  const house = await oneBench();
  const { batches } = house.daemon;
  const body = {
    ...NO_DETAILS,
    crop: 'Coleus',
    count: 10,
    sheets: [{ sheetId: 'poinsettia', version: 1, fromMs: STUCK_MS, entered: 1 }],
  };
  house.store.transaction(() => {
    for (let n = 1; n <= MAX_BATCHES; n += 1)
      house.store.batches.add({ ...order, stage: 'sticking', entered: n, body });
  });
  expect(() => batches.add(order)).toThrow(`${MAX_BATCHES} batches already`);
  batches.remove('17');
  house.hand.pass(1_000);
  batches.remove('18');
  const { id } = batches.add(order);
  expect(batches.get(id).leading).toBe(false);
  expect(batches.list({ placeId: null, state: 'deleted' }).map((one) => one.id)).toEqual(['18']);
  house.daemon.stop();
});

test(`${MAX_CHOICES} times somebody may choose who leads at a place`, async () => {
  const house = await oneBench();
  const { batches } = house.daemon;
  const { id } = batches.add(order);
  house.store.transaction(() => {
    for (let entered = 2; entered <= MAX_CHOICES; entered += 1)
      house.store.batches.choose('bench-1', { batchId: null, fromMs: STUCK_MS + entered, entered });
  });
  expect(batches.setLeading('bench-1', { batchId: id, fromMs: null })).toMatchObject({
    batchId: id,
    chosen: true,
  });
  expect(() => batches.setLeading('bench-1', { batchId: null, fromMs: null })).toThrow(
    `${MAX_CHOICES} times`,
  );
  house.daemon.stop();
});
