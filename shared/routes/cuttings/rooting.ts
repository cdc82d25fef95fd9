import { z } from 'zod';
import { batchDemandSchema } from '../../wire/cuttings/demand.ts';
import { batchRootingSchema } from '../../wire/cuttings/rooting.ts';
import type { Routes } from '../route.ts';

/** The clock of a batch. */
export const ROOTING_ROUTES = {
  'get /api/v1/batches/{id}/rooting': {
    id: 'getBatchRooting',
    role: 'look',
    summary: 'When half of a batch had roots or is expected to, and how long it stands without mist',
    params: { id: z.string().regex(/^\d{1,15}$/, 'GET /api/v1/batches lists them.') },
    answer: batchRootingSchema,
  },
  'get /api/v1/batches/{id}/demand': {
    id: 'getBatchDemand',
    role: 'look',
    summary: 'How hard the air pulled at the leaves of a batch, and its light against what is wanted',
    params: { id: z.string().regex(/^\d{1,15}$/, 'GET /api/v1/batches lists them.') },
    answer: batchDemandSchema,
  },
} as const satisfies Routes;
