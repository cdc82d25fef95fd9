import { z } from 'zod';
import { BLIND_TO, PLACE_STATES } from '../../harm/place-state.ts';
import { HARM_KINDS } from '../../harm/scale.ts';
import { ceilingAlarmSchema } from '../../model/alarms/ceiling-alarm.ts';
import type { Output } from '../../model/output.ts';
import { placeSchema, placeSettingsSchema } from '../../model/place.ts';
import { targetsSchema } from '../../model/targets.ts';
import { SERIES_QUANTITIES, type SeriesQuantityName } from '../../quantities.ts';

export const seriesNameSchema = z
  .enum(Object.keys(SERIES_QUANTITIES) as [SeriesQuantityName, ...SeriesQuantityName[]])
  .meta({ id: 'SeriesName', description: 'Quantities of a place as named in the outside interface.' });
export type SeriesName = Output<typeof seriesNameSchema>;

const bandStateSchema = z
  .enum(['below', 'within', 'above', 'over-ceiling', 'saturated', 'unjudged', 'stale'])
  .meta({
    id: 'BandState',
    description: 'Where a value lies; `unjudged` when the targets say nothing about the quantity.',
  });
export type BandState = Output<typeof bandStateSchema>;

const nowValueSchema = z
  .strictObject({
    value: z.number(),
    unit: z.string().describe('as a person reads it, always the same for a quantity: °C, %RH, kPa'),
    at: z.string().describe('RFC 3339, UTC'),
    state: bandStateSchema,
    estimated: z
      .boolean()
      .describe('true when the value rests on an assumption (lux turned PPFD, assumed leaf offset)'),
    range: z
      .strictObject({ low: z.number(), high: z.number() })
      .describe(
        'what an estimate leaves open, in the unit of the value; absent where nothing is estimated from light',
      )
      .exactOptional(),
  })
  .meta({ id: 'NowValue' });
export type NowValue = Output<typeof nowValueSchema>;

const latelySchema = z
  .strictObject({
    kind: z.enum([...HARM_KINDS, 'no-data']),
    from: z.string().describe('RFC 3339, UTC'),
    to: z.string().nullable().describe('null while it goes on'),
    peak: z.number().nullable().describe('the value furthest beyond its limit, °C or kPa'),
    furthest: z.number().nullable().describe('how far that was beyond it, K or kPa'),
    harm: z.number().nullable().describe('null where nothing was read: not known'),
  })
  .meta({
    id: 'Lately',
    description:
      'What harmed a place, or could not be seen, and is remembered: until a morning sheet has shown it, at most 72 h; the last 24 h where nobody gets one.',
  });

const placeConditionSchema = z.strictObject({
  state: z
    .enum(PLACE_STATES)
    .describe('act: it harms now; watch: it did and is remembered, or may, or cannot be seen; ok: neither'),
  harm: z.number().nullable().describe('of all kinds in the last 24 h; null where it is not known'),
  minutesLeft: z
    .number()
    .nullable()
    .describe('until the batch is expected to be damaged at the present rate; null when nothing harms now'),
  blindTo: z
    .array(z.enum(BLIND_TO))
    .describe(
      'what cannot be judged: heat where the air probe has stopped, or where there never was one, and so on',
    ),
  lately: z.array(latelySchema).describe('worst first, at most four'),
});
export type PlaceCondition = Output<typeof placeConditionSchema>;

export const placeNowSchema = z
  .strictObject({
    placeId: z.string(),
    newestAt: z
      .string()
      .nullable()
      .describe('newest reading of any probe of the place, RFC 3339, or null before the first'),
    probesTelling: z.number(),
    probesAssigned: z.number(),
    ...placeConditionSchema.shape,
    quantities: z.partialRecord(seriesNameSchema, nowValueSchema),
    catchingUp: z
      .boolean()
      .describe(
        'true while a device of the place sends what it kept and is coming nearer to now; absent otherwise',
      )
      .exactOptional(),
    firstReadings: z
      .boolean()
      .describe('true until the place has reported for ten minutes, or three times; absent from then on')
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
