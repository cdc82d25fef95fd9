import { z } from 'zod';
import type { Output } from '../../model/output.ts';

const refusedSchema = z.strictObject({
  what: z.enum(['batch', 'sheet']),
  nth: z.number().describe('its place in the list that was sent, from 1'),
  name: z.string().nullable().describe('its crop, or the name of the sheet, where it has one'),
  reason: z.string(),
});
export type RefusedItem = Output<typeof refusedSchema>;

export const cuttingsImportSchema = z
  .strictObject({
    dryRun: z.boolean().describe('true: nothing was kept'),
    batches: z.number().describe('batches that were kept, or would be'),
    sheets: z.number().describe('own sheets that were kept, or would be'),
    refused: z.array(refusedSchema),
    notes: z.array(z.string()).describe('what differs from the file in what was taken'),
  })
  .meta({ id: 'CuttingsImport', description: 'What became of batches and sheets that were imported.' });
export type CuttingsImport = Output<typeof cuttingsImportSchema>;
