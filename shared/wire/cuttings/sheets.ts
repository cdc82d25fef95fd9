import { z } from 'zod';
import { sheetSchema } from '../../model/cuttings/sheet.ts';

export const sheetsAnswerSchema = z
  .strictObject({ sheets: z.array(sheetSchema) })
  .meta({ id: 'Sheets', description: 'Target sheets in their newest versions.' });
