import { z } from 'zod';
import type { Output } from '../../model/output.ts';

const refusedSchema = z.strictObject({
  what: z.enum(['batch', 'preparation', 'sheet']),
  nth: z.number().describe('its place among those of its kind, from 1; of a line its number'),
  name: z.string().nullable().describe('its crop, or the name of the sheet, where it has one'),
  reason: z.string(),
});
export type RefusedItem = Output<typeof refusedSchema>;

export const cuttingsImportSchema = z
  .strictObject({
    dryRun: z.boolean().describe('true: nothing was kept'),
    batches: z.number().describe('batches that were kept, or would be'),
    preparations: z.number().describe('plans that were kept, or would be'),
    sheets: z.number().describe('own sheets that were kept, or would be'),
    refused: z.array(refusedSchema),
    notes: z.array(z.string()).describe('what differs from the file in what was taken'),
  })
  .meta({
    id: 'CuttingsImport',
    description: 'What became of batches, plans and sheets that were imported.',
  });
export type CuttingsImport = Output<typeof cuttingsImportSchema>;

export const cuttingsFileImportSchema = z
  .strictObject({
    ...cuttingsImportSchema.shape,
    entries: z.number().describe('entries of the diary that were kept, or would be'),
    photos: z.number().describe('photos among them'),
    refused: z
      .array(refusedSchema.extend({ what: z.enum(['batch', 'preparation', 'sheet', 'entry', 'line']) }))
      .describe('the first of them'),
    refusedInAll: z.number(),
  })
  .meta({ id: 'CuttingsFileImport', description: 'What became of a file of cuttings and their diary.' });
export type CuttingsFileImport = Output<typeof cuttingsFileImportSchema>;
