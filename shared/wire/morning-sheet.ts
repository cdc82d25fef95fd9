import { z } from 'zod';
import type { Output } from '../model/output.ts';

const percent = z.number().min(0).max(100);
const partShape = { from: percent, width: percent };

const stripSchema = z.strictObject({
  nights: z.array(z.strictObject(partShape)),
  holes: z.array(z.strictObject(partShape)),
  blocks: z.array(
    z.strictObject({
      ...partShape,
      lane: z.enum(['air', 'leaf', 'rootZone']),
      side: z.enum(['above', 'below']),
      mean: z.number().nullable(),
    }),
  ),
});

/** The morning sheet as it is mailed: what the page says of the night, in °C. */
export const morningSheetSchema = z.strictObject({
  title: z.string(),
  /** what stands at the ends of the axis of each strip */
  fromWords: z.string(),
  toWords: z.string(),
  urgent: z.string().nullable(),
  lead: z.string(),
  /** where the page shows this night; null where no address of it is known */
  link: z.string().nullable(),
  rows: z.array(
    z.strictObject({
      name: z.string(),
      mark: z.string(),
      sentence: z.string(),
      next: z.string().nullable(),
      who: z.string().nullable(),
      strip: stripSchema,
    }),
  ),
  answers: z.array(z.strictObject({ question: z.string(), sentences: z.array(z.string()) })),
});
export type MorningSheet = Output<typeof morningSheetSchema>;
