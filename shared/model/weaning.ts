import { z } from 'zod';

/** Most steps of one plan. */
const MAX_STEPS = 12;
const MAX_STEP_DAYS = 60;
const MAX_VPD_KPA = 5;

const vpdKpa = z.number().min(0).max(MAX_VPD_KPA);

/** So many days in so dry an air, kPa of vapour pressure deficit. */
const weaningStepSchema = z
  .strictObject({ days: z.number().min(0.25).max(MAX_STEP_DAYS), lowKpa: vpdKpa, highKpa: vpdKpa })
  .refine(({ lowKpa, highKpa }) => lowKpa < highKpa, {
    path: ['highKpa'],
    message: 'must lie above "lowKpa"',
  });
export type WeaningStep = z.infer<typeof weaningStepSchema>;

/** What a plan says besides when it begins. */
export const weaningShape = {
  gateShare: z
    .number()
    .min(0.01)
    .max(1)
    .describe('share rooted by tug test from which on the batch may be weaned, 0.01…1'),
  steps: z.array(weaningStepSchema).min(1).max(MAX_STEPS),
} as const;

/** How a batch is weaned: from a time on, ms since epoch, step after step. */
export const weaningPlanSchema = z.strictObject({ fromMs: z.number(), ...weaningShape });
export type WeaningPlan = z.infer<typeof weaningPlanSchema>;
