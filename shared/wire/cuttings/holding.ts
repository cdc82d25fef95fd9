import { z } from 'zod';
import type { Output } from '../../model/output.ts';

const time = z.string().describe('RFC 3339, UTC');

const verdictSchema = z
  .enum(['within', 'over', 'cannot-be-judged', 'does-not-apply'])
  .describe(
    'cannot-be-judged: what it takes is not on record; does-not-apply: it counts from the opening of a box, and none was',
  );

const limitSchema = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('after-opening'),
    hours: z.number().describe('from the opening of the box to sticking'),
    source: z.string(),
    verdict: verdictSchema,
  }),
  z.strictObject({
    kind: z.literal('warm-in-box'),
    temperatureC: z.number(),
    inclusive: z.boolean().describe('whether that temperature itself counts'),
    hours: z.number().describe('so long there spoils the cuttings'),
    heldHours: z.number().nullable().describe('on record; null without a probe in the box'),
    source: z.string(),
    verdict: verdictSchema,
  }),
]);

const boxSchema = z.strictObject({
  from: time,
  to: time,
  hours: z.number(),
  coveredHours: z.number().describe('of them on record'),
  minC: z.number().nullable(),
  meanC: z.number().nullable(),
  maxC: z.number().nullable(),
});

export const batchHoldingSchema = z
  .strictObject({
    hoursFromCut: z.number().nullable().describe('to sticking; null where the time of the cut is not noted'),
    hoursFromOpening: z
      .number()
      .nullable()
      .describe('to sticking; null where the opening of a box is not noted'),
    cutHour: z.number().nullable().describe('local hour of the day at which it was cut, 0…23'),
    boxPlaceId: z.string().nullable(),
    box: boxSchema
      .nullable()
      .describe('by the air probe of that place, from the cut, or else from the opening; null without'),
    limits: z.array(limitSchema).describe('published for the crop; none: nothing is'),
  })
  .meta({
    id: 'BatchHolding',
    description:
      'How long and how warm cuttings were held between cut, or the opening of a box, and sticking.',
  });
export type BatchHolding = Output<typeof batchHoldingSchema>;
