import { z } from 'zod';
import type { Output } from '../../model/output.ts';

export const lightDaySchema = z
  .strictObject({
    date: z.string().describe('the local day'),
    from: z.string().describe('when it began, RFC 3339'),
    to: z.string().describe('when it ends, or will end'),
    dliMolM2: z.number().describe('light sum of what is covered, mol m⁻²'),
    coveredHours: z.number(),
    wantedLowMolM2: z.number().nullable().describe('by the targets at its noon; null where they say nothing'),
    wantedHighMolM2: z.number().nullable(),
  })
  .meta({ id: 'LightDay', description: 'Light of a local day against what is wanted.' });
export type LightDay = Output<typeof lightDaySchema>;

export const placeLightSchema = z
  .strictObject({ placeId: z.string(), days: z.array(lightDaySchema).describe('days with light on record') })
  .meta({ id: 'PlaceLight', description: 'Light of a place, day by day.' });
export type PlaceLight = Output<typeof placeLightSchema>;
