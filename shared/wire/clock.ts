import { z } from 'zod';

/** When the wall clock was set, and what was set aside for it; times in RFC 3339. */
export const clockAnswerSchema = z.strictObject({
  /** whether it was not set lately */
  steady: z.boolean(),
  /** newest first; `from`: what it would have shown, `to`: what it showed */
  jumps: z.array(
    z.strictObject({
      id: z.number().int(),
      from: z.string(),
      to: z.string(),
      byS: z.number(),
      /** false: it was set back by this at least */
      exact: z.boolean(),
    }),
  ),
  /** readings that a wrong clock dated: kept beside the record, counted in nothing */
  aside: z.array(
    z.strictObject({
      jumpId: z.number().int(),
      probe: z.string(),
      placeId: z.string().nullable(),
      from: z.string(),
      to: z.string(),
      readings: z.number().int(),
    }),
  ),
});
export type ClockAnswer = z.infer<typeof clockAnswerSchema>;
