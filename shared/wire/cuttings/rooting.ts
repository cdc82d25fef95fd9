import { z } from 'zod';
import type { Output } from '../../model/output.ts';

const time = z.string().describe('RFC 3339, UTC');
const degreeHours = z.number().describe('K·h in the root zone');

const reachedSchema = z.strictObject({
  at: time.describe('on the straight line between two counts'),
  after: time.describe('the count before it'),
  before: time.describe('the count after it'),
});

const ownFitSchema = z.strictObject({
  mean: degreeHours,
  low95: degreeHours.describe('of the mean'),
  high95: degreeHours,
  nextLow95: degreeHours.describe('of the next batch'),
  nextHigh95: degreeHours,
});

const expectedSchema = z.strictObject({
  at: time,
  earliest: time,
  latest: time.nullable().describe('null: at the slowest rate of the last days never'),
  degreeHoursPerDay: z.number().describe('of the last days'),
});

const minutesSchema = z
  .strictObject({
    minutes: z.number(),
    low: z.number(),
    high: z.number(),
    longerThanMeasured: z
      .boolean()
      .describe('the estimate lies beyond 325 min, the longest that was measured, and is cut there'),
  })
  .describe('an estimate and the range it leaves open, min; none above the longest that was measured');

/** Why there is no expectation. */
const NOT_EXPECTED = [
  'closed',
  'half-rooted',
  'no-limits',
  'too-few-batches',
  'too-little-recorded',
  'no-progress',
] as const;

export const batchRootingSchema = z
  .strictObject({
    halfRooted: reachedSchema.nullable(),
    halfRootedReason: z
      .enum(['no-count', 'not-yet-half', 'half-at-first-count'])
      .nullable()
      .describe('why it is not known when half had roots'),
    batches: z
      .number()
      .describe('of the grower, of the same crop, of which the total to half rooted is known'),
    needed: z.number(),
    fit: ownFitSchema.nullable().describe('null with fewer batches than are needed'),
    expected: expectedSchema.nullable().describe('when half is expected to have roots'),
    expectedReason: z.enum(NOT_EXPECTED).nullable(),
    withoutMist: minutesSchema
      .nullable()
      .describe('how long it stands without mist in the air of now; null where nothing is known of it'),
  })
  .meta({
    id: 'BatchRooting',
    description:
      'The clock of a batch: when half had, or are expected to have, roots; totals are the grower’s own.',
  });
export type BatchRooting = Output<typeof batchRootingSchema>;
