import { z } from 'zod';
import { batchReportSchema } from '../../wire/cuttings/report.ts';
import { oneOfSchema } from '../parameters.ts';
import type { Routes } from '../route.ts';

/** What happened to a batch. */
export const REPORT_ROUTES = {
  'get /api/v1/batches/{id}/report': {
    id: 'getBatchReport',
    role: 'look',
    summary:
      'What happened to a batch: stages, doses, worst hours, alarms and answers, counts, losses; as JSON, or as CSV by `format` or Accept',
    params: { id: z.string().regex(/^\d{1,15}$/, 'GET /api/v1/batches lists them.') },
    query: z.object({ format: oneOfSchema(['json', 'csv']).optional() }),
    answer: batchReportSchema,
    media: ['text/csv'],
  },
} as const satisfies Routes;
