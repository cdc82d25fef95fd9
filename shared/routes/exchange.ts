import { z } from 'zod';
import { REPEATED_HOURS } from '../model/import-mapping.ts';
import {
  EXPORT_FORMS,
  EXPORT_STEPS,
  EXPORT_WHATS,
  importProgressSchema,
  importReportSchema,
} from '../wire/exchange.ts';
import { flagSchema, oneOfSchema, optionalSpan } from './parameters.ts';
import type { Routes } from './route.ts';

/** Files of readings, in and out: both stream. */
export const EXCHANGE_ROUTES = {
  'get /api/v1/places/{id}/export': {
    id: 'exportPlace',
    role: 'look',
    summary:
      'Readings, exposures, alarms, batches or the diary of a span as a file, streamed; the span holds its start, not its end',
    query: z.object({
      what: oneOfSchema(EXPORT_WHATS).default('readings'),
      as: oneOfSchema(EXPORT_FORMS).default('csv'),
      by: oneOfSchema(EXPORT_STEPS).default('day'),
      gzip: flagSchema.default(false).describe('compressed, as a file whose name ends in .gz'),
      ...optionalSpan,
    }),
    media: [
      'text/csv',
      'application/senml+json',
      'application/x-ndjson',
      'application/vnd.apache.parquet',
      'application/gzip',
    ],
  },
  'get /api/v1/import': {
    id: 'getImport',
    role: 'own',
    summary: 'How far the import under way is, or how the last one ended',
    answer: z.strictObject({ import: importProgressSchema.nullable() }),
  },
  'post /api/v1/import': {
    id: 'importReadings',
    role: 'own',
    summary: 'Import a file of readings as a device; a dry run unless dryRun=false',
    query: z.object({
      device: z.string().default(''),
      dryRun: flagSchema.default(true),
      as: oneOfSchema(EXPORT_FORMS).optional(),
      of: z.string().optional().describe('the device of the file that is meant, where it holds several'),
      map: z.string().optional(),
      zone: z.string().optional(),
      repeatedHour: oneOfSchema(REPEATED_HOURS).optional(),
    }),
    uploads: [
      'text/csv',
      'application/senml+json',
      'application/x-ndjson',
      'application/vnd.apache.parquet',
      'application/gzip',
    ],
    answer: importReportSchema,
  },
} as const satisfies Routes;
