import { z } from 'zod';
import { cuttingsImportSchema } from '../../wire/cuttings/import.ts';
import { flagSchema } from '../parameters.ts';
import type { Routes } from '../route.ts';

/** Most batches, and most sheets, of one import. */
const MOST_ITEMS = 500;

/** Batches and sheets as they were exported. */
export const CUTTINGS_IMPORT_ROUTES = {
  'post /api/v1/batches/import': {
    id: 'importCuttings',
    role: 'own',
    summary:
      'Import batches (lines of their export) and own sheets (as GET answers them); a dry run unless dryRun=false',
    query: z.object({ dryRun: flagSchema.default(true) }),
    body: z.strictObject({
      batches: z.array(z.unknown()).max(MOST_ITEMS).optional(),
      sheets: z.array(z.unknown()).max(MOST_ITEMS).optional(),
    }),
    answer: cuttingsImportSchema,
  },
} as const satisfies Routes;
