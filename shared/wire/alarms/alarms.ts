import { z } from 'zod';
import { alarmEventSchema, alarmSchema } from '../../model/alarms/alarm.ts';

export const alarmsAnswerSchema = z
  .strictObject({ alarms: z.array(alarmSchema) })
  .meta({ id: 'AlarmsAnswer' });

export const alarmEventsAnswerSchema = z
  .strictObject({ events: z.array(alarmEventSchema) })
  .meta({ id: 'AlarmEventsAnswer' });
