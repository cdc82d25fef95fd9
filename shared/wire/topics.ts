import { z } from 'zod';
import { alarmSchema } from '../model/alarms/alarm.ts';
import type { Output } from '../model/output.ts';
import { alarmWordsSchema } from '../rules/facts.ts';
import { ALARM_RULES } from '../rules/rules.ts';
import { placeNowSchema } from './places/place.ts';

/** What the daemon says every 30 s, and what its Will says for it at an outside broker. */
export const heartbeatSchema = z
  .discriminatedUnion('state', [
    z.strictObject({
      state: z.literal('online'),
      time: z.string().describe('RFC 3339, UTC'),
      intervalS: z.number().describe('seconds until the next'),
    }),
    z.strictObject({ state: z.literal('offline') }).describe('sent by the Will'),
  ])
  .meta({ title: 'strikewell/1/watch/heartbeat', description: 'Retained. Further members may come.' });
export type Heartbeat = Output<typeof heartbeatSchema>;

/** The present state of a place as it is retained. */
export const placeNowMessageSchema = placeNowSchema.extend({ name: z.string() }).meta({
  title: 'strikewell/1/places/<place>/now',
  description:
    'Retained; sent when readings came, at most every 10 s. Values are rounded to the step that a good probe of the quantity resolves, which is not its accuracy; over HTTP they are as they are. Further members may come.',
});
export type PlaceNowMessage = Output<typeof placeNowMessageSchema>;

/** An alarm as it is retained; what a buzzer or a lamp needs is `priority`, `state` and `suppression`. */
export const alarmMessageSchema = alarmSchema
  .extend({
    rule: z.string().describe(`so far: ${ALARM_RULES.join(', ')}`),
    suppression: alarmSchema.shape.suppression.describe('sent to people only while none'),
    words: alarmWordsSchema,
  })
  .meta({
    title: 'strikewell/1/alarms/<alarm>',
    description:
      'Retained, JSON without blanks between its tokens; times in ms since epoch, null when it has not happened. Values are rounded to the step that a good probe of the quantity resolves. Further members and kinds of facts may come.',
  });
export type AlarmMessage = Output<typeof alarmMessageSchema>;
