import { z } from 'zod';
import type { Output } from '../model/output.ts';
import { sheetSchema } from '../model/sheet.ts';

export const sheetsAnswerSchema = z
  .strictObject({ sheets: z.array(sheetSchema) })
  .meta({ id: 'Sheets', description: 'Target sheets in their newest versions.' });

export type SheetsAnswer = Output<typeof sheetsAnswerSchema>;
