import type { Batch } from '../../../../shared/wire/cuttings/batches.ts';

export const DAY_MS = 86_400_000;
/** Wednesday 3 December 2025, noon. */
export const NOW_MS = Date.UTC(2025, 11, 3, 12);
export const AT = { timeZone: 'UTC', nowMs: NOW_MS };

/** A time so many days ago, as it is sent. */
export const ago = (days: number) => new Date(NOW_MS - days * DAY_MS).toISOString();

/** Fifty poinsettia cuttings on their twelfth day. */
export const BATCH: Batch = {
  id: '7',
  placeId: 'sill',
  crop: 'Poinsettia',
  cultivar: null,
  stockPlant: null,
  cuttingType: null,
  nodes: null,
  wound: null,
  medium: null,
  tray: null,
  position: null,
  cutAt: null,
  boxOpenedAt: null,
  boxPlaceId: null,
  cutHour: null,
  hormone: null,
  hormoneStrength: null,
  note: null,
  sheetId: 'poinsettia',
  sheetVersion: 1,
  stuckAt: ago(12),
  count: 50,
  state: 'open',
  closedAt: null,
  deletedAt: null,
  leading: true,
  stage: 'rooting',
  stages: [
    { n: 1, stage: 'sticking', from: ago(12), to: ago(6) },
    { n: 2, stage: 'rooting', from: ago(6), to: null },
  ],
  stays: [{ n: 0, placeId: 'sill', from: ago(12), to: null }],
  counts: [],
  strike: null,
  due: null,
};
