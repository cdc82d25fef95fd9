import { z } from 'zod';

/**
 * How an alarm waits: delays in ms, deadband in the unit of its rule; `on: false` switches it off. Of the alarms about
 * probes that do not report, and of early notices, `on` and `priority` alone count.
 */
export const limitSettingsSchema = z
  .strictObject({
    on: z.boolean(),
    onDelayMs: z.number().int().min(0).max(86_400_000),
    offDelayMs: z.number().int().min(0).max(86_400_000),
    deadband: z.number().min(0).max(100),
    latching: z.boolean(),
    /** absent: the rule's own, raised by harm */
    priority: z.enum(['high', 'medium', 'low']),
  })
  .partial();

export type LimitSettings = z.infer<typeof limitSettingsSchema>;
