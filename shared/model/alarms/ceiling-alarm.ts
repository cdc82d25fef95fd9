import { z } from 'zod';

/** Settings that version 1 of the interface has for the alarm of the ceiling alone: delays in ms, deadband in K. */
export const ceilingAlarmSchema = z.strictObject({
  onDelayMs: z.number().int().min(0).max(3_600_000),
  offDelayMs: z.number().int().min(0).max(3_600_000),
  deadbandK: z.number().min(0).max(10),
});

export type CeilingAlarm = z.infer<typeof ceilingAlarmSchema>;
