import { z } from 'zod';
import {
  chosenStepSchema,
  MAX_PREPARATION_STEPS,
  preparationBodySchema,
  preparationDetailsSchema,
  stepIdSchema,
} from '../../model/cuttings/preparation.ts';
import { batchSchema } from '../../wire/cuttings/batches.ts';
import { knownStepsSchema, preparationSchema } from '../../wire/cuttings/preparations.ts';
import { instantSchema, next, oneOfSchema, paging } from '../parameters.ts';
import type { Routes } from '../route.ts';

const params = { id: z.string().regex(/^\d{1,15}$/, 'GET /api/v1/preparations lists them.') };
const { crop, stickOn } = preparationBodySchema.shape;
const steps = z.array(chosenStepSchema).max(MAX_PREPARATION_STEPS);
const details = preparationDetailsSchema.partial().shape;

/** Batches that are planned, and what is done before they are stuck. */
export const PREPARATION_ROUTES = {
  'get /api/v1/preparation-steps': {
    id: 'listPreparationSteps',
    role: 'look',
    summary:
      'What may be done before cuttings are taken, each with its source or "common practice, no source"',
    answer: knownStepsSchema,
  },
  'get /api/v1/preparations': {
    id: 'listPreparations',
    role: 'look',
    summary: 'Planned batches, by their day of sticking; those that were deleted with state=deleted',
    query: z.object({ state: oneOfSchema(['open', 'stuck', 'deleted']).optional(), ...paging }),
    answer: z
      .strictObject({ preparations: z.array(preparationSchema), ...next })
      .meta({ id: 'PreparationsAnswer' }),
  },
  'post /api/v1/preparations': {
    id: 'addPreparation',
    role: 'tend',
    summary: 'Plan a batch: its crop, its day of sticking, and the steps before',
    body: z.strictObject({ crop, stickOn, steps, ...details }),
    answer: preparationSchema,
    status: 201,
  },
  'get /api/v1/preparations/{id}': {
    id: 'getPreparation',
    role: 'look',
    summary: 'One planned batch',
    params,
    answer: preparationSchema,
  },
  'patch /api/v1/preparations/{id}': {
    id: 'changePreparation',
    role: 'tend',
    summary: 'Change a plan; with another day of sticking every step moves, and what was done stays done',
    params,
    body: z.strictObject({ crop, stickOn, steps }).partial().extend(details),
    answer: preparationSchema,
  },
  'delete /api/v1/preparations/{id}': {
    id: 'deletePreparation',
    role: 'tend',
    summary: 'Delete a plan; restoring undoes it',
    params,
  },
  'post /api/v1/preparations/{id}/restore': {
    id: 'restorePreparation',
    role: 'tend',
    summary: 'Undo the deletion of a plan',
    params,
    answer: preparationSchema,
  },
  'put /api/v1/preparations/{id}/steps/{stepId}': {
    id: 'tickPreparationStep',
    role: 'tend',
    summary: 'A step was done, now or at a time, or was not',
    params: { ...params, stepId: stepIdSchema },
    body: z.strictObject({ done: z.boolean(), at: instantSchema.optional() }),
    answer: preparationSchema,
  },
  'post /api/v1/preparations/{id}/stick': {
    id: 'stickPreparation',
    role: 'tend',
    summary: 'Begin the batch that was planned, now or at a time; deleting that batch opens the plan again',
    params,
    body: z.strictObject({ stuckAt: instantSchema.optional() }),
    answer: batchSchema,
    status: 201,
  },
} as const satisfies Routes;
