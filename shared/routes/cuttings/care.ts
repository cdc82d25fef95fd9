import { z } from 'zod';
import { batchHoldingSchema } from '../../wire/cuttings/holding.ts';
import type { Routes } from '../route.ts';

const params = { id: z.string().regex(/^\d{1,15}$/, 'GET /api/v1/batches lists them.') };

/** What was done with the cuttings of a batch before sticking and after rooting. */
export const CARE_ROUTES = {
  'get /api/v1/batches/{id}/holding': {
    id: 'getBatchHolding',
    role: 'look',
    summary:
      'How long and how warm the cuttings were held between the cut, or the opening of a box, and sticking',
    params,
    answer: batchHoldingSchema,
  },
} as const satisfies Routes;
