import { z } from 'zod';
import { alarmEventSchema, alarmSchema } from '../../model/alarms/alarm.ts';
import type { Output } from '../../model/output.ts';
import { probeSchema } from '../../model/probes/probe.ts';

export const alarmsAnswerSchema = z
  .strictObject({ alarms: z.array(alarmSchema) })
  .meta({ id: 'AlarmsAnswer' });
export type AlarmsAnswer = Output<typeof alarmsAnswerSchema>;

export const alarmEventsAnswerSchema = z
  .strictObject({ events: z.array(alarmEventSchema) })
  .meta({ id: 'AlarmEventsAnswer' });
export type AlarmEventsAnswer = Output<typeof alarmEventsAnswerSchema>;

export const probesAnswerSchema = z
  .strictObject({ probes: z.array(probeSchema) })
  .meta({ id: 'ProbesAnswer' });
export type ProbesAnswer = Output<typeof probesAnswerSchema>;
