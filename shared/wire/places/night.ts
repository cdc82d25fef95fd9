import { z } from 'zod';
import { PLACE_STATES } from '../../harm/place-state.ts';
import { ANSWERED } from '../../model/alarms/answered.ts';
import type { Output } from '../../model/output.ts';
import { bandSpanSchema, exposuresSchema } from './exposures.ts';
import { answeredSchema, installationFactsSchema, placeFactsSchema } from './morning.ts';

/** What may have been beyond its limit at a place, or missing. */
export const EXCURSION_KINDS = [
  'air-over-ceiling',
  'air-above-band',
  'air-below-band',
  'air-far-too-cold',
  'root-zone-over-ceiling',
  'root-zone-above-band',
  'root-zone-below-band',
  'vpd-above-band',
  'saturated',
  'no-mist',
  'no-data',
] as const;
export type ExcursionKind = (typeof EXCURSION_KINDS)[number];

const causeSchema = z.strictObject({
  key: z.string(),
  sentence: z.string(),
  evidence: z.array(z.string()),
  confidence: z.number().min(0).max(1),
});

const excursionSchema = z
  .strictObject({
    kind: z.enum(EXCURSION_KINDS),
    from: z.string().describe('the exact crossing, RFC 3339'),
    to: z.string().nullable().describe('null while it goes on'),
    peak: z
      .number()
      .nullable()
      .describe('the value furthest beyond its limit, in `unit`; null where nothing was read'),
    limit: z.number().nullable().describe('the limit at the peak, in `unit`; null where there is no course'),
    unit: z.enum(['°C', 'kPa', '%RH', 'min']).nullable(),
    overLimitHours: z.number(),
    dose: z
      .number()
      .nullable()
      .describe('area between course and limit, in `doseUnit`; null where there is no course'),
    doseUnit: z.enum(['K·h', 'kPa·h']).nullable(),
    harm: z.number().nullable().describe('dimensionless, 0 where a kind does no harm; null: not known'),
    cause: causeSchema.nullable().describe('null where none is known'),
    alarmId: z.string().nullable().describe('the first alarm that was raised about it'),
    acknowledgedBy: z.string().nullable(),
  })
  .meta({ id: 'Excursion', description: 'A stretch beyond a limit, or in which nothing could be seen.' });
export type ExcursionAnswer = Output<typeof excursionSchema>;

export const excursionsAnswerSchema = z
  .strictObject({ excursions: z.array(excursionSchema) })
  .meta({ id: 'ExcursionsAnswer' });

const nightRowSchema = z
  .strictObject({
    placeId: z.string(),
    name: z.string(),
    zone: z.string().nullable().describe('the group of places it belongs to'),
    state: z
      .enum(PLACE_STATES)
      .describe('as it is now; of a night long past: watch where it harmed, or could not be seen, else ok'),
    harm: z
      .number()
      .describe('of all kinds over the span, dimensionless; what could not be seen is not in it'),
    minutesLeft: z.number().nullable(),
    answered: z
      .enum(ANSWERED)
      .describe('whether somebody acknowledged what is active now; of an earlier night: no-alarm'),
    sentence: z.string().describe('temperatures in °C'),
    excursions: z.array(excursionSchema),
    bands: z.array(bandSpanSchema).describe('of the span'),
    exposures: exposuresSchema,
    coverage: z.number().min(0).max(1).describe('share of the span in which the place was seen'),
    maxGapMs: z.number().describe('readings so far apart are no gap yet'),
    facts: placeFactsSchema,
  })
  .meta({ id: 'NightRow' });
export type NightRow = Output<typeof nightRowSchema>;

export const nightAnswerSchema = z
  .strictObject({
    date: z.string().describe('of the morning'),
    from: z.string(),
    to: z.string(),
    madeAt: z.string(),
    places: z.array(nightRowSchema).describe('worst first'),
    installation: installationFactsSchema,
    answers: z.array(answeredSchema).describe('of the fifteen questions of a morning, in order'),
  })
  .meta({ id: 'Night', description: 'What happened at every place since the evening.' });
export type Night = Output<typeof nightAnswerSchema>;
