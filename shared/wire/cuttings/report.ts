import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { ALARM_PRIORITIES } from '../../rules/rule.ts';
import { ALARM_RULES } from '../../rules/rules.ts';
import { EXCURSION_KINDS } from '../places/night.ts';
import { batchExposuresSchema, batchSchema, batchThermalTimeSchema } from './batches.ts';
import { diaryEntrySchema } from './diary.ts';
import { batchRootingSchema } from './rooting.ts';

const time = z.string().describe('RFC 3339, UTC');

const worstHourSchema = z
  .strictObject({
    placeId: z.string(),
    from: time.describe('a full hour'),
    to: time,
    harm: z.number().describe('dimensionless, summed over its kinds: 1 is a batch expected to be damaged'),
    kinds: z
      .array(
        z.strictObject({
          kind: z.enum(EXCURSION_KINDS),
          peak: z.number().nullable().describe('the value furthest beyond its limit, in `unit`'),
          unit: z.enum(['°C', 'kPa', '%RH', 'min']).nullable(),
          minutes: z.number().describe('beyond its limit within the hour'),
          harm: z.number(),
        }),
      )
      .describe('what was beyond its limit, most harm first'),
  })
  .meta({ id: 'WorstHour', description: 'An hour in which something beyond its limit did harm.' });
export type WorstHour = Output<typeof worstHourSchema>;

const reportedAlarmSchema = z
  .strictObject({
    alarmId: z.string(),
    placeId: z.string(),
    rule: z.enum(ALARM_RULES),
    name: z.string(),
    priority: z.enum(ALARM_PRIORITIES),
    raised: time,
    acknowledged: time.nullable(),
    acknowledgedBy: z.string().nullable(),
    returned: time.nullable().describe('null while it is active'),
  })
  .meta({ id: 'ReportedAlarm', description: 'One raising of an alarm while a batch stood at its place.' });
export type ReportedAlarm = Output<typeof reportedAlarmSchema>;

export const batchReportSchema = z
  .strictObject({
    batch: batchSchema,
    from: time.describe('when it was stuck'),
    to: time.describe('when it was closed, or now'),
    exposures: batchExposuresSchema.describe('doses within and beyond the bands, whole and by stage'),
    thermalTime: batchThermalTimeSchema,
    rooting: batchRootingSchema,
    worstHours: z.array(worstHourSchema).describe('most harm first'),
    alarms: z.array(reportedAlarmSchema).describe('in the order of time'),
    alarmsLeftOut: z.number().describe('older ones beyond the most that are listed'),
    diary: z
      .array(diaryEntrySchema)
      .describe('what was written down of it and of where it stood, in the order of time'),
    losses: z
      .array(z.strictObject({ cause: z.string(), n: z.number() }))
      .describe('by the newest count that names any, most first'),
  })
  .meta({ id: 'BatchReport', description: 'What happened to a batch, on one page.' });
export type BatchReport = Output<typeof batchReportSchema>;
