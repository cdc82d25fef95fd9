import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { bandSpanSchema, exposuresSchema } from './exposures.ts';

const steps = z.array(z.int().nullable());

const traceSchema = z
  .strictObject({
    decimals: z.int().describe('of the unit: 2 where numbers are hundredths'),
    values: steps.describe(
      'weighted means, one for each of `times`, each less the last that is not null: the first as it is; null at a gap',
    ),
    below: steps.describe('how far the lowest value lies below its mean; null at a gap'),
    above: steps.describe('how far the highest value lies above its mean; null at a gap'),
    suspect: z
      .array(z.int())
      .describe(
        'which points a finding about a probe covers, by their place in `times`, from 0; left out for none',
      )
      .exactOptional(),
  })
  .meta({ id: 'Trace', description: 'A course as whole numbers, so that many of them are small together.' });
export type Trace = Output<typeof traceSchema>;

const placeTracesSchema = z
  .strictObject({
    placeId: z.string(),
    air: traceSchema.describe('air temperature, °C'),
    vpd: traceSchema.describe('vapour pressure deficit of the air, kPa'),
    rootZone: traceSchema.describe('root zone temperature, °C'),
    bands: z.array(bandSpanSchema).describe('from `from` to 12 h after `to`'),
    exposures: exposuresSchema
      .pick({ placeId: true, from: true, to: true, rootZone: true, saturation: true })
      .describe('of the day'),
  })
  .meta({ id: 'PlaceTraces' });

export const tracesAnswerSchema = z
  .strictObject({
    from: z.string().describe('RFC 3339'),
    to: z.string().describe('RFC 3339: now'),
    times: z.array(z.int()).describe('the middle of each point, ms after `from`: the last 3 h are finer'),
    places: z.array(placeTracesSchema),
  })
  .meta({ id: 'TracesAnswer', description: 'The last day of many places as their cards draw it.' });
export type TracesAnswer = Output<typeof tracesAnswerSchema>;
