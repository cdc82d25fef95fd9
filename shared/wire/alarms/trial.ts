import { z } from 'zod';

/** What is tried instead of what the place has: a limit in the unit of the rule, delays in minutes. */
export const trialSchema = z
  .strictObject({
    limit: z.coerce.number().min(-50).max(4_000),
    onDelayMin: z.coerce.number().min(0).max(1_440),
    offDelayMin: z.coerce.number().min(0).max(1_440),
    deadband: z.coerce.number().min(0).max(100),
  })
  .partial();

export type Trial = z.infer<typeof trialSchema>;
