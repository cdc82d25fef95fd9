import { z } from 'zod';
import { identityShape, instantMs } from './identity-line.ts';
import {
  chosenStepSchema,
  MAX_PREPARATION_STEPS,
  preparationBodySchema,
  preparationDetailsSchema,
} from './preparation.ts';

const { crop, stickOn } = preparationBodySchema.shape;

/** A planned batch as a line of its export has it; what is left out of the details was not written down. */
export const preparationLineSchema = z.strictObject({
  id: z.unknown().optional(),
  crop,
  stickOn,
  ...preparationDetailsSchema.partial().shape,
  steps: z
    .array(chosenStepSchema.extend({ doneAt: instantMs.nullable().optional() }))
    .max(MAX_PREPARATION_STEPS),
  ...identityShape,
});
export type PreparationLine = z.output<typeof preparationLineSchema>;
