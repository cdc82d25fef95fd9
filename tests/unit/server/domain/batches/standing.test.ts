import { expect, test } from 'vitest';
import type { KeptBatch } from '../../../../../server/domain/batches/batch.ts';
import { batchesStanding } from '../../../../../server/domain/batches/standing.ts';
import { NO_DETAILS } from '../../../../../shared/model/cuttings/batch.ts';

const kept = (change: Partial<KeptBatch>, crop = 'Poinsettia'): KeptBatch => ({
  id: 1,
  body: {
    crop,
    count: 50,
    sheets: [{ sheetId: 'poinsettia', version: 1, fromMs: 10, entered: 1 }],
    ...NO_DETAILS,
  },
  stuckMs: 10,
  closed: null,
  deletedMs: null,
  stays: [{ n: 0, placeId: 'sill', fromMs: 10, entered: 1 }],
  stages: [{ n: 1, stage: 'sticking', fromMs: 10, entered: 1 }],
  counts: [],
  ...change,
});
const at = (nowMs: number, ...batches: KeptBatch[]) => batchesStanding(batches, { placeId: 'sill', nowMs });

test('a batch stands from when it was stuck until it is closed or moved', () => {
  const moved = { n: 1, placeId: 'case', fromMs: 30, entered: 2 };
  const batch = kept({});
  expect(at(9, batch)).toEqual([]);
  expect(at(10, batch)).toEqual([{ stuckAtMs: 10, crop: 'Poinsettia', isPoinsettia: true }]);
  expect(at(30, kept({ closed: { atMs: 30, entered: 2 } }))).toEqual([]);
  expect(at(30, kept({ stays: [...batch.stays, moved] }))).toEqual([]);
  expect(at(20, kept({ deletedMs: 15 }))).toEqual([]);
});

test('only poinsettia, by either of its names, is the crop of the paper', () => {
  const crops = ['poinsettia', ' Euphorbia pulcherrima ', 'Geranium'];
  expect(crops.map((crop) => at(20, kept({}, crop))[0]?.isPoinsettia)).toEqual([true, true, false]);
});
