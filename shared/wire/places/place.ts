import { z } from 'zod';
import { ceilingAlarmSchema } from '../../model/alarms/ceiling-alarm.ts';
import type { Output } from '../../model/output.ts';
import { placeSchema, placeSettingsSchema } from '../../model/place.ts';
import { targetsSchema } from '../../model/targets.ts';
import { SERIES_QUANTITIES, type SeriesQuantityName } from '../../quantities.ts';

export const seriesNameSchema = z
  .enum(Object.keys(SERIES_QUANTITIES) as [SeriesQuantityName, ...SeriesQuantityName[]])
  .meta({ id: 'SeriesName', description: 'Quantities of a place as named in the outside interface.' });
export type SeriesName = Output<typeof seriesNameSchema>;

export const bandStateSchema = z
  .enum(['below', 'within', 'above', 'over-ceiling', 'saturated', 'unjudged', 'stale'])
  .meta({
    id: 'BandState',
    description: 'Where a value lies; `unjudged` when the targets say nothing about the quantity.',
  });
export type BandState = Output<typeof bandStateSchema>;

export const nowValueSchema = z
  .strictObject({
    value: z.number(),
    unit: z.string().describe('as a person reads it, always the same for a quantity: °C, %RH, kPa'),
    at: z.string().describe('RFC 3339, UTC'),
    state: bandStateSchema,
    estimated: z
      .boolean()
      .describe('true when the value rests on an assumption (lux turned PPFD, assumed leaf offset)'),
  })
  .meta({ id: 'NowValue' });
export type NowValue = Output<typeof nowValueSchema>;

export const placeNowSchema = z
  .strictObject({
    placeId: z.string(),
    newestAt: z
      .string()
      .nullable()
      .describe('newest reading of any probe of the place, RFC 3339, or null before the first'),
    probesTelling: z.number(),
    probesAssigned: z.number(),
    quantities: z.partialRecord(seriesNameSchema, nowValueSchema),
    catchingUp: z
      .boolean()
      .describe(
        'true while a device of the place sends what it kept and is coming nearer to now; absent otherwise',
      )
      .exactOptional(),
  })
  .meta({ id: 'PlaceNow' });
export type PlaceNow = Output<typeof placeNowSchema>;

export const placeSummarySchema = placeSchema
  .extend({
    settings: placeSettingsSchema.extend({ ceilingAlarm: ceilingAlarmSchema }),
    now: placeNowSchema,
    targets: targetsSchema,
    countedBefore: z
      .string()
      .describe(
        'exposures before this, RFC 3339, stay as they were counted, whatever settings are changed: their readings went',
      )
      .exactOptional(),
  })
  .meta({ id: 'PlaceSummary' });
export type PlaceSummary = Output<typeof placeSummarySchema>;
