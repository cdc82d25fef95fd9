import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { leftOutReadingSchema } from '../probes/finding.ts';
import { seriesNameSchema } from './place.ts';

const seriesPointSchema = z
  .strictObject({
    t: z.string(),
    value: z.number().nullable(),
    min: z.number().nullable(),
    max: z.number().nullable(),
    suspect: z.literal(true).describe('there where a finding about a probe covers the point').exactOptional(),
  })
  .meta({ id: 'SeriesPoint' });
export type SeriesPoint = Output<typeof seriesPointSchema>;

export const seriesSchema = z
  .strictObject({
    quantity: seriesNameSchema,
    unit: z.string(),
    points: z.array(seriesPointSchema),
    minutesBefore: z
      .string()
      .describe(
        'before this, RFC 3339, points rest on one mean a minute; given where the span begins before it',
      )
      .exactOptional(),
    leftOut: z
      .array(leftOutReadingSchema)
      .describe(
        'readings that are no measurement, kept but not drawn; left out where there are none; the newest 200',
      )
      .exactOptional(),
  })
  .meta({ id: 'Series' });
export type Series = Output<typeof seriesSchema>;
