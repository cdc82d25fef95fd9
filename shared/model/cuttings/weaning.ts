import { z } from 'zod';

/** Most steps of one plan. */
const MAX_STEPS = 12;
const MAX_STEP_DAYS = 60;
const MAX_VPD_KPA = 5;

const saysKpa = `must be from 0 to ${MAX_VPD_KPA} kPa`;
const vpdKpa = z.number().min(0, saysKpa).max(MAX_VPD_KPA, saysKpa);
const LEAST_STEP_DAYS = 0.25;
const saysDays = `must be from ${LEAST_STEP_DAYS} to ${MAX_STEP_DAYS} days`;
const SAYS_SHARE = 'must be a share from 0.01 to 1';
const saysSteps = `must be 1 to ${MAX_STEPS} steps`;

/** So many days in so dry an air, kPa of vapour pressure deficit. */
const weaningStepSchema = z
  .strictObject({
    days: z.number().min(LEAST_STEP_DAYS, saysDays).max(MAX_STEP_DAYS, saysDays),
    lowKpa: vpdKpa,
    highKpa: vpdKpa,
  })
  .refine(({ lowKpa, highKpa }) => lowKpa < highKpa, {
    path: ['highKpa'],
    message: 'must be above "lowKpa"',
  });
export type WeaningStep = z.infer<typeof weaningStepSchema>;

/** What a plan says besides when it begins. */
export const weaningShape = {
  gateShare: z
    .number()
    .min(0.01, SAYS_SHARE)
    .max(1, SAYS_SHARE)
    .describe('share rooted by tug test from which on the batch may be weaned, 0.01…1'),
  steps: z.array(weaningStepSchema).min(1, saysSteps).max(MAX_STEPS, saysSteps),
} as const;

/** How a batch is weaned: from a time on, ms since epoch, step after step. */
export const weaningPlanSchema = z.strictObject({ fromMs: z.number(), ...weaningShape });
export type WeaningPlan = z.infer<typeof weaningPlanSchema>;
