import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { airRecord, databaseFile, START_MS, startHouse } from '../../support/house.ts';

const HOUR_MS = 3_600_000;
const at = (hours: number) => START_MS + hours * HOUR_MS;

/** A house with a bench, and a box whose probe read 12 °C each quarter of an hour of the last four hours but one. */
async function withBox() {
  const house = startHouse();
  await house.report([airRecord(22)]);
  for (let ageS = 4 * 3_600; ageS >= 3_600; ageS -= 900) await house.report([airRecord(12, { ageS })], 'box');
  return house;
}

const order = {
  placeId: 'bench-1',
  crop: 'Geranium',
  sheetId: 'poinsettia',
  stuckMs: at(0),
  count: 10,
  details: { cutAtMs: at(-5), boxOpenedAtMs: at(-2), boxPlaceId: 'box' },
};

test('the probe in the box tells of the 3 h it read, of the 5 h from the cut', async () => {
  const house = await withBox();
  const { batches } = house.daemon;
  const { id } = batches.add(order);
  expect(batches.holding(id)).toEqual({
    hoursFromCut: 5,
    hoursFromOpening: 2,
    cutHour: 5,
    boxPlaceId: 'box',
    box: {
      from: '2026-06-01T05:00:00.000Z',
      to: '2026-06-01T10:00:00.000Z',
      hours: 5,
      coveredHours: expect.closeTo(3, 9),
      minC: 12,
      meanC: 12,
      maxC: 12,
    },
    limits: [{ kind: 'after-opening', hours: 4, source: 'HR44', verdict: 'within' }],
  });
  house.daemon.stop();
});

test('without a probe, and of a box that is archived, its temperature is not known', async () => {
  const house = await withBox();
  const { batches, archive } = house.daemon;
  const { id } = batches.add(order);
  archive.archive({ kind: 'place', placeId: 'box' }, { by: null });
  expect(batches.holding(id)).toMatchObject({ hoursFromCut: 5, boxPlaceId: 'box', box: null });
  const without = batches.add({ ...order, details: { cutAtMs: at(-5) } }).id;
  expect(batches.holding(without)).toMatchObject({ box: null, limits: [{ verdict: 'does-not-apply' }] });
  house.daemon.stop();
});

test('a batch of before, in whose row no box stands, has none, and takes a change', async () => {
  const file = databaseFile();
  const house = startHouse({ store: openStore({ file, nowMs: START_MS }) });
  await house.report([airRecord(22)]);
  const { batches } = house.daemon;
  const { id } = batches.add({ ...order, details: {} });
  const db = new Database(file);
  db.exec(`UPDATE batch SET body = json_remove(body, '$.boxPlaceId')`);
  expect(db.prepare('SELECT body FROM batch').pluck().get()).not.toContain('boxPlaceId');
  db.close();
  expect(batches.get(id).boxPlaceId).toBeNull();
  expect(batches.change(id, { details: { note: 'late' } })).toMatchObject({ note: 'late', boxPlaceId: null });
  house.daemon.stop();
});
