import { z } from 'zod';
import { weaningShape } from '../../model/cuttings/weaning.ts';
import { batchHoldingSchema } from '../../wire/cuttings/holding.ts';
import { batchWeaningSchema } from '../../wire/cuttings/weaning.ts';
import { instantSchema } from '../parameters.ts';
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
  'get /api/v1/batches/{id}/weaning': {
    id: 'getBatchWeaning',
    role: 'look',
    summary: 'The steps by which a batch is weaned, and for each whether its record shows that it was held',
    params,
    answer: batchWeaningSchema,
  },
  'put /api/v1/batches/{id}/weaning': {
    id: 'setBatchWeaning',
    role: 'tend',
    summary: 'Plan how a batch is weaned: steps in VPD from a time on; it replaces the plan of before',
    params,
    body: z.strictObject({ from: instantSchema, ...weaningShape }),
    answer: batchWeaningSchema,
  },
  'delete /api/v1/batches/{id}/weaning': {
    id: 'deleteBatchWeaning',
    role: 'tend',
    summary: 'Delete the plan of weaning of a batch; setting it again undoes it',
    params,
  },
} as const satisfies Routes;
