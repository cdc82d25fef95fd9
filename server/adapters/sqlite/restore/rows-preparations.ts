import { MAX_PREPARATIONS, preparationBodySchema } from '../../../../shared/model/preparation.ts';
import { id, json, type RowCheck, timeMs } from './row-check.ts';

export const preparation: RowCheck = {
  key: ['id'],
  most: MAX_PREPARATIONS,
  columns: {
    id,
    batch_id: id.nullable(),
    deleted_ms: timeMs.nullable(),
    body: json(preparationBodySchema),
  },
  fixed(row, { batches }) {
    if (row['batch_id'] === null || batches.has(Number(row['batch_id']))) return { row };
    return { row: { ...row, batch_id: null }, changed: 'the batch it became is not there, so it is open' };
  },
};
