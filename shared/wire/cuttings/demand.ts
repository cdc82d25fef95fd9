import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { lightDaySchema } from '../places/light.ts';

export const batchDemandSchema = z
  .strictObject({
    from: z.string().describe('when it was stuck, RFC 3339'),
    to: z.string().describe('when it was closed, or now'),
    kpaHours: z
      .number()
      .describe(
        'accumulated vapour pressure gradient from leaf to air, less the wet share of the leaf, kPa·h',
      ),
    coveredHours: z.number(),
    wetnessUnknownHours: z
      .number()
      .describe('of the covered hours, those of leaves taken as dry as nothing reads their wetness'),
    leafEstimatedHours: z
      .number()
      .describe('of the covered hours, those in which no probe read the temperature of the leaf'),
    light: z
      .strictObject({
        days: z.number().describe('whole days with targets that say what light is wanted'),
        byDay: z
          .array(lightDaySchema)
          .describe('each day with light on record, the first and the last in part'),
        molM2: z.number(),
        wantedLowMolM2: z.number(),
        wantedHighMolM2: z.number(),
      })
      .nullable()
      .describe('light of its whole days together, mol m⁻²; null where no light is on record'),
  })
  .meta({
    id: 'BatchDemand',
    description: 'How hard the air pulled at the leaves of a batch, and its light against what is wanted.',
  });
export type BatchDemand = Output<typeof batchDemandSchema>;
