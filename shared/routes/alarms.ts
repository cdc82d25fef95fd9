import { z } from 'zod';
import {
  ALARM_STATES,
  alarmSchema,
  outOfServiceRequestSchema,
  shelveRequestSchema,
} from '../model/alarms/alarm.ts';
import { alarmQualityAnswerSchema } from '../wire/alarms/alarm-quality.ts';
import { alarmEventsAnswerSchema, alarmsAnswerSchema } from '../wire/alarms/alarms.ts';
import { messagesAnswerSchema } from '../wire/people.ts';
import { next, oneOfSchema, optionalSpan, paging, span } from './parameters.ts';
import type { Routes } from './route.ts';

/** Alarms, and orders about them. */
export const ALARM_ROUTES = {
  'get /api/v1/alarms': {
    id: 'listAlarms',
    role: 'look',
    summary: 'Alarms, those of a span when one is given',
    query: z.object({ state: oneOfSchema(ALARM_STATES).optional(), ...optionalSpan, ...paging }),
    answer: alarmsAnswerSchema.extend(next).meta({ id: 'AlarmsPage' }),
  },
  'get /api/v1/alarms/quality': {
    id: 'getAlarmQuality',
    role: 'look',
    summary: 'How good the alarms of a span were: rate, priorities, nuisances, answers',
    query: z.object(span),
    answer: alarmQualityAnswerSchema,
  },
  'get /api/v1/alarms/{id}/events': {
    id: 'listAlarmEvents',
    role: 'look',
    summary: 'What happened to an alarm, newest first',
    query: z.object(paging),
    answer: alarmEventsAnswerSchema.extend(next).meta({ id: 'AlarmEventsPage' }),
  },
  'get /api/v1/alarms/{id}/messages': {
    id: 'listAlarmMessages',
    role: 'tend',
    summary: 'Messages about an alarm, newest first, and the result of each',
    query: z.object(paging),
    answer: messagesAnswerSchema.extend(next).meta({ id: 'MessagesPage' }),
  },
  'post /api/v1/alarms/{id}/acknowledge': {
    id: 'acknowledgeAlarm',
    role: 'tend',
    summary: 'Acknowledge',
    answer: alarmSchema,
  },
  'post /api/v1/alarms/{id}/shelve': {
    id: 'shelveAlarm',
    role: 'tend',
    summary: 'Shelve for a time, with a reason',
    body: shelveRequestSchema,
    answer: alarmSchema,
  },
  'post /api/v1/alarms/{id}/unshelve': {
    id: 'unshelveAlarm',
    role: 'tend',
    summary: 'End the shelving',
    answer: alarmSchema,
  },
  'post /api/v1/alarms/{id}/reset': {
    id: 'resetAlarm',
    role: 'tend',
    summary: 'Reset a latched alarm',
    answer: alarmSchema,
  },
  'post /api/v1/alarms/{id}/out-of-service': {
    id: 'takeAlarmOutOfService',
    role: 'tend',
    summary: 'Take out of service for maintenance, with a reason',
    body: outOfServiceRequestSchema,
    answer: alarmSchema,
  },
  'post /api/v1/alarms/{id}/in-service': {
    id: 'putAlarmInService',
    role: 'tend',
    summary: 'Put back in service',
    answer: alarmSchema,
  },
} as const satisfies Routes;
