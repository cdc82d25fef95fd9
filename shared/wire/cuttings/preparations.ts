import { z } from 'zod';
import { preparationBodySchema } from '../../model/cuttings/preparation.ts';
import type { Output } from '../../model/output.ts';

const time = z.string().describe('RFC 3339, UTC');
const day = z.string().describe('a local day, such as 2026-03-01');

const knownStepSchema = z.strictObject({
  id: z.string(),
  name: z.string(),
  what: z.string(),
  daysBefore: z.number().describe('before sticking, unless the grower says otherwise'),
  source: z.string().describe('key of a paper, or "common practice, no source"'),
  disputed: z.string().nullable().describe('trials that contradict it'),
});
export type KnownStep = Output<typeof knownStepSchema>;

export const knownStepsSchema = z.strictObject({ steps: z.array(knownStepSchema) }).meta({
  id: 'PreparationSteps',
  description: 'Steps to choose from; which apply is for the grower to say.',
});

const stepSchema = z.strictObject({
  ...knownStepSchema.shape,
  what: z.string().nullable().describe('null for a step of the grower’s own'),
  source: z.string().nullable(),
  due: day,
  state: z.enum(['ahead', 'due', 'late', 'done']),
  doneAt: time.nullable(),
});
export type PreparationStep = Output<typeof stepSchema>;

const { steps: _steps, ...body } = preparationBodySchema.shape;

export const preparationSchema = z
  .strictObject({
    id: z.string(),
    ...body,
    state: z.enum(['open', 'stuck']),
    batchId: z.string().nullable().describe('the batch it became; null unless it is stuck'),
    deletedAt: time.nullable().describe('null unless it was deleted, which can be undone'),
    daysLeft: z.number().describe('until its day of sticking; below 0 once that is over'),
    steps: z.array(stepSchema).describe('by the day on which they are due'),
  })
  .meta({
    id: 'Preparation',
    description:
      'A batch that is planned: its day of sticking, and what is done before, counted back from it.',
  });
export type Preparation = Output<typeof preparationSchema>;
