import { z } from 'zod';
import { cuttingsFileImportSchema, cuttingsImportSchema } from '../../wire/cuttings/import.ts';
import { flagSchema, oneOfSchema } from '../parameters.ts';
import type { Routes } from '../route.ts';

/** Most batches, plans, and sheets, of one body. */
const MOST_ITEMS = 500;
const items = z.array(z.unknown()).max(MOST_ITEMS).optional();
const FORMS = ['ndjson', 'csv'] as const;

/** Files of cuttings, out and in: both stream, and are taken as they come. */
export const CUTTINGS_EXCHANGE_ROUTES = {
  'get /api/v1/cuttings/export': {
    id: 'exportCuttings',
    role: 'look',
    summary:
      'All own sheets, batches, plans and the diary, a JSON object a line, as an import takes them; photos where asked for. CSV has one kind',
    query: z.object({
      what: oneOfSchema(['all', 'batches', 'preparations', 'sheets', 'diary']).default('all'),
      as: oneOfSchema(FORMS).default('ndjson'),
      photos: flagSchema.default(false),
    }),
    media: ['application/x-ndjson', 'text/csv'],
  },
  'post /api/v1/cuttings/import': {
    id: 'importCuttingsFile',
    role: 'own',
    summary:
      'Import a file that an export of batches, plans, sheets or the diary wrote (of CSV the diary alone); a dry run unless dryRun=false',
    query: z.object({ dryRun: flagSchema.default(true), as: oneOfSchema(FORMS).default('ndjson') }),
    uploads: ['application/x-ndjson', 'text/csv'],
    answer: cuttingsFileImportSchema,
  },
} as const satisfies Routes;

/** Batches, plans and own sheets in the body of a request. */
export const CUTTINGS_IMPORT_ROUTES = {
  'post /api/v1/batches/import': {
    id: 'importCuttings',
    role: 'own',
    summary:
      'Import batches and plans (lines of their export) and own sheets (as GET answers them); a dry run unless dryRun=false',
    query: z.object({ dryRun: flagSchema.default(true) }),
    body: z.strictObject({ batches: items, preparations: items, sheets: items }),
    answer: cuttingsImportSchema,
  },
} as const satisfies Routes;
