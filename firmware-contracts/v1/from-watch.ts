import { z } from 'zod';
import { ALARM_STATES, SUPPRESSIONS } from '../../shared/model/alarms/alarm.ts';
import { ALARM_RULES } from '../../shared/rules/rules.ts';

/** What the daemon says every 30 s, and what its Will says for it at an outside broker. */
export const heartbeatSchema = z
  .looseObject({
    state: z.enum(['online', 'offline']).meta({ description: 'offline is sent by the Will' }),
    time: z.string().optional().meta({ description: 'RFC 3339, UTC; absent in the Will' }),
    intervalS: z.number().optional().meta({ description: 'seconds until the next' }),
  })
  .meta({ title: 'strikewell/1/watch/heartbeat', description: 'Retained. Further members may come.' });

const timeMs = z.number().nullable();

/** An alarm as the daemon tells it; what a buzzer or a lamp needs is required. */
export const alarmMessageSchema = z
  .looseObject({
    id: z.string(),
    placeId: z.string().nullable().meta({ description: 'null for an alarm of the house itself' }),
    placeName: z.string(),
    rule: z.string().meta({ description: `so far: ${ALARM_RULES.join(', ')}` }),
    priority: z.enum(['high', 'medium', 'low']),
    state: z.enum(ALARM_STATES),
    suppression: z.enum(SUPPRESSIONS).meta({ description: 'sent to people only while none' }),
    raisedAtMs: timeMs.meta({ description: 'ms since 1970 UTC' }),
    shelvedUntilMs: timeMs.meta({ description: 'ms since 1970 UTC; null when it is not shelved' }),
  })
  .meta({
    title: 'strikewell/1/alarms/<alarm>',
    description: 'Retained, JSON without blanks between its tokens. Further members may come.',
  });
