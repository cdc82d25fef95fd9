import { z } from 'zod';
import { weaningShape } from '../../model/cuttings/weaning.ts';
import type { Output } from '../../model/output.ts';

const time = z.string().describe('RFC 3339, UTC');
const hours = z.number();

const gateSchema = z.strictObject({
  state: z.enum(['no-count', 'too-few', 'met']).describe('by the newest count'),
  count: z.strictObject({ at: time, looked: z.number(), rooted: z.number() }).nullable(),
  metBeforeStart: z.boolean().describe('some count before the plan begins found as many rooted'),
});

const stepSchema = z.strictObject({
  from: time,
  to: time,
  lowKpa: z.number(),
  highKpa: z.number(),
  state: z.enum(['ahead', 'running', 'over', 'cut-short']).describe('cut-short: the batch was closed before'),
  hours: hours.describe('of the step that have passed'),
  hoursBelow: hours.describe('more humid than its band'),
  hoursWithin: hours,
  hoursAbove: hours.describe('drier than its band'),
  hoursUnknown: hours.describe('not on record'),
  held: z
    .enum(['held', 'not-held', 'cannot-be-judged'])
    .nullable()
    .describe('null before it is over; cannot-be-judged: it depends on hours that are not on record'),
});
export type WeaningStepView = Output<typeof stepSchema>;

export const batchWeaningSchema = z
  .strictObject({
    plan: z.strictObject({ from: time, ...weaningShape }).nullable(),
    usual: z
      .strictObject({ ...weaningShape, source: z.string() })
      .describe('what a new plan begins with, and where it is from'),
    heldShare: z.number().describe('a step is held with at least this share of its hours within its band'),
    gate: gateSchema.nullable(),
    steps: z.array(stepSchema),
    verdict: z
      .enum([
        'ahead',
        'under-way',
        'cut-short',
        'not-held',
        'cannot-be-judged',
        'no-tug-test',
        'too-few-rooted',
        'weaned',
      ])
      .nullable()
      .describe(
        'weaned: every step was held and the newest tug test found as many rooted as asked; null without a plan',
      ),
  })
  .meta({
    id: 'BatchWeaning',
    description: 'The plan by which a batch is weaned, and what its record says of each step.',
  });
export type BatchWeaning = Output<typeof batchWeaningSchema>;
