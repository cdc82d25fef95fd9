import { z } from 'zod';
import { importMappingSchema, REPEATED_HOURS } from '../model/import-mapping.ts';
import type { Output } from '../model/output.ts';

export const EXPORT_WHATS = ['readings', 'exposures', 'alarms', 'batches', 'diary'] as const;
export const EXPORT_FORMS = ['csv', 'ndjson', 'senml', 'parquet'] as const;
export const EXPORT_STEPS = ['day', 'hour'] as const;

export type ExportWhat = (typeof EXPORT_WHATS)[number];
export type ExportForm = (typeof EXPORT_FORMS)[number];
export type ExportStep = (typeof EXPORT_STEPS)[number];

const badRowSchema = z.strictObject({ line: z.number(), reason: z.string() }).meta({ id: 'BadRow' });
export type BadRow = Output<typeof badRowSchema>;

export const importReportSchema = z
  .strictObject({
    device: z.string(),
    dryRun: z.boolean(),
    mapping: importMappingSchema
      .nullable()
      .describe('what the columns of CSV are; null for other formats, and while something is undecided'),
    mappingText: z.string().describe('the mapping as one line, with `?` where only a person can tell'),
    undecided: z
      .array(z.string())
      .describe('what must be said before a row can be read; then nothing below is counted'),
    notes: z.array(z.string()),
    rows: z.number().describe('rows, lines or packs that were read, bad ones among them'),
    readings: z.number(),
    stored: z.number(),
    repeats: z.number(),
    conflicts: z
      .number()
      .describe('readings whose probe and time are stored with another value, which stays'),
    from: z.string().nullable().describe('RFC 3339; null before the first reading'),
    to: z.string().nullable(),
    bad: z.strictObject({ count: z.number(), listed: z.array(badRowSchema) }),
    repeatedHour: z
      .strictObject({
        rows: z.number(),
        lines: z.array(z.number()),
        taken: z.enum(REPEATED_HOURS).nullable(),
      })
      .describe(
        'rows whose wall-clock time came twice; `taken` is null while it was not said which is meant, and none is stored',
      ),
    probes: z.array(
      z.strictObject({ probe: z.string(), unit: z.string(), readings: z.number(), isNew: z.boolean() }),
    ),
    newPlace: z
      .string()
      .nullable()
      .describe('id of the place that is made, or would be; null when it is there'),
  })
  .meta({ id: 'ImportReport', description: 'What became of a file of readings, or in a dry run would.' });
export type ImportReport = Output<typeof importReportSchema>;

export const importProgressSchema = z
  .strictObject({
    state: z.enum(['running', 'done', 'failed']),
    device: z.string(),
    dryRun: z.boolean(),
    bytes: z.number(),
    totalBytes: z.number().nullable().describe('as the sender said; null when it did not'),
    rows: z.number(),
    stored: z.number(),
    error: z.string().nullable(),
  })
  .meta({
    id: 'ImportProgress',
    description: 'How far the import under way has come, or how the last one ended.',
  });
export type ImportProgress = Output<typeof importProgressSchema>;
