import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { ALARM_PRIORITIES } from '../../rules/rule.ts';
import { ALARM_RULES, LIMIT_RULES } from '../../rules/rules.ts';

const alarmQualitySchema = z
  .strictObject({
    from: z.string(),
    to: z.string(),
    told: z.number(),
    perDay: z.number(),
    byPriority: z.record(z.enum(ALARM_PRIORITIES), z.number()),
    highPerWeekAtWorst: z.number().describe('the place with most alarms of high priority, in alarms a week'),
    chattering: z.number().describe('alarms that were raised 3 times in a minute or more than 5 times in 5'),
    fleeting: z.number().describe('came and went within 2 min and did not come back within 10'),
    stale: z.number().describe('stood longer than 24 h'),
    medianAcknowledgeMin: z.number().nullable(),
    longestAcknowledgeMin: z.number().nullable(),
    unanswered: z.number().describe('nobody ever answered'),
    meetsTargets: z.boolean(),
  })
  .meta({
    id: 'AlarmQuality',
    description: 'How the alarms of a span behaved; only those that were sent to people count.',
  });
export type AlarmQuality = Output<typeof alarmQualitySchema>;

const talkativeAlarmSchema = z
  .strictObject({
    alarmId: z.string(),
    placeId: z.string().nullable(),
    placeName: z.string(),
    rule: z.enum(ALARM_RULES),
    told: z.number(),
    tryIt: z
      .strictObject({ rule: z.enum(LIMIT_RULES), onDelayMin: z.number(), deadband: z.number() })
      .nullable()
      .describe('null where the rule cannot be tried on the past'),
  })
  .meta({
    id: 'TalkativeAlarm',
    description: 'A rule of a place that speaks most, and what might be tried on its past.',
  });
export type TalkativeAlarm = Output<typeof talkativeAlarmSchema>;

export const alarmQualityAnswerSchema = z
  .strictObject({
    whole: alarmQualitySchema,
    weeks: z.array(alarmQualitySchema),
    talkative: z.array(talkativeAlarmSchema),
  })
  .meta({ id: 'AlarmQualityAnswer' });
export type AlarmQualityAnswer = Output<typeof alarmQualityAnswerSchema>;
