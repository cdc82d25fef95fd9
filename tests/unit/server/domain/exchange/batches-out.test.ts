import { expect, test } from 'vitest';
import type { KeptBatch } from '../../../../../server/domain/batches/batch.ts';
import {
  batchesIn,
  batchNdjson,
  CSV_BATCHES,
} from '../../../../../server/domain/exchange/write/batches-out.ts';
import { NO_DETAILS } from '../../../../../shared/model/cuttings/batch.ts';

const DAY_MS = 86_400_000;
const batch: KeptBatch = {
  id: 7,
  body: {
    ...NO_DETAILS,
    crop: '=Poinsettia',
    count: 100,
    sheets: [{ sheetId: 'poinsettia', version: 2, fromMs: 0, entered: 1 }],
    note: 'left, "wet"',
    weaning: { fromMs: 9 * DAY_MS, gateShare: 0.8, steps: [{ days: 3, lowKpa: 0.4, highKpa: 0.7 }] },
  },
  stuckMs: 0,
  closed: { atMs: 10 * DAY_MS, entered: 9 },
  deletedMs: null,
  stays: [
    { n: 0, placeId: 'a', fromMs: 0, entered: 1 },
    { n: 1, placeId: 'b', fromMs: 4 * DAY_MS, entered: 2 },
  ],
  stages: [{ n: 1, stage: 'sticking', fromMs: 0, entered: 1 }],
  counts: [
    {
      n: 1,
      atMs: 9 * DAY_MS,
      count: {
        looked: 20,
        rooted: 16,
        lost: [{ cause: 'rot', n: 2 }],
        potted: 15,
        grades: [{ grade: 'A', n: 9 }],
      },
    },
  ],
};

test('a batch is one row of 35 columns; a text that would run as a formula is guarded', () => {
  const [header, row] = [CSV_BATCHES.header(), CSV_BATCHES.row(batch)];
  expect(header.split(',')).toHaveLength(35);
  expect(row).toBe(
    "7,'=Poinsettia,,b,poinsettia,2,1970-01-01T00:00:00.000Z,1970-01-11T00:00:00.000Z,100," +
      'sticking 1970-01-01T00:00:00.000Z,a 1970-01-01T00:00:00.000Z; b 1970-01-05T00:00:00.000Z,' +
      '1970-01-10T00:00:00.000Z,20,16,,rot 2,,,,,,,,,,,,,"left, ""wet""",,15,A 9,1970-01-10T00:00:00.000Z,0.8,3 d 0.4-0.7 kPa\r\n',
  );
});

test('as NDJSON it has all that was entered of it', () => {
  expect(JSON.parse(batchNdjson(batch))).toMatchObject({
    id: 7,
    stays: [{ placeId: 'a' }, { placeId: 'b', from: '1970-01-05T00:00:00.000Z' }],
    counts: [{ at: '1970-01-10T00:00:00.000Z', looked: 20, rooted: 16, lost: [{ cause: 'rot', n: 2 }] }],
  });
});

test.each([
  ['a', 0, 4, true],
  ['a', 4, 9, false],
  ['b', 0, 4, false],
  ['b', 9, 12, true],
  ['b', 10, 12, false],
])('it stood at %s from day %i to %i: %s', (placeId, from, to, stood) => {
  const span = { placeId, fromMs: from * DAY_MS, toMs: to * DAY_MS };
  expect(batchesIn([batch], span)).toEqual(stood ? [batch] : []);
  expect(batchesIn([{ ...batch, deletedMs: 1 }], span)).toEqual([]);
});
