import type { Sheet } from '../../shared/model/cuttings/sheet.ts';
import type { Batch } from '../../shared/wire/cuttings/batches.ts';
import { call } from '../api.ts';

/** Most batches that are listed on a page. */
const MOST_LISTED = 200;

type State = 'open' | 'closed' | 'deleted';

/** Batches of a state, the newest first. */
export async function batchesOf(query: { state?: State; placeId?: string }): Promise<readonly Batch[]> {
  const { batches } = await call('listBatches', { query: { ...query, limit: MOST_LISTED } });
  return batches;
}

/** All target sheets, each in its newest version. */
export async function allSheets(): Promise<readonly Sheet[]> {
  const { sheets } = await call('listSheets');
  return sheets;
}
