import { z } from 'zod';
import { alarmSchema } from '../model/alarms/alarm.ts';
import type { Output } from '../model/output.ts';
import { houseFactsSchema } from './house.ts';
import { placeNowSchema, placeSummarySchema } from './places/place.ts';

export const liveMessageSchema = z
  .discriminatedUnion('type', [
    z.strictObject({
      v: z.literal(1),
      seq: z.number(),
      type: z.literal('snapshot'),
      atMs: z.number(),
      places: z.array(placeSummarySchema),
      alarms: z.array(alarmSchema),
      house: houseFactsSchema,
      more: z
        .boolean()
        .describe('true: `part` messages with other places and alarms follow; absent or false: this is all')
        .exactOptional(),
    }),
    z.strictObject({
      v: z.literal(1),
      seq: z.number(),
      type: z.literal('part'),
      atMs: z.number(),
      places: z.array(placeSummarySchema),
      alarms: z.array(alarmSchema),
      more: z.boolean(),
    }),
    z.strictObject({
      v: z.literal(1),
      seq: z.number(),
      type: z.literal('now'),
      atMs: z.number(),
      now: placeNowSchema,
    }),
    z.strictObject({ v: z.literal(1), seq: z.number(), type: z.literal('place'), place: placeSummarySchema }),
    z.strictObject({ v: z.literal(1), seq: z.number(), type: z.literal('place-gone'), placeId: z.string() }),
    z.strictObject({ v: z.literal(1), seq: z.number(), type: z.literal('alarm'), alarm: alarmSchema }),
    z.strictObject({ v: z.literal(1), seq: z.number(), type: z.literal('house'), house: houseFactsSchema }),
    z.strictObject({
      v: z.literal(1),
      seq: z.number(),
      type: z.literal('heard'),
      watched: z.number(),
      captured: z.number(),
      unread: z.number().describe('grows with each message on a topic that nothing reads'),
    }),
    z.strictObject({ v: z.literal(1), seq: z.number(), type: z.literal('beat'), atMs: z.number() }),
  ])
  .meta({
    id: 'LiveMessage',
    description:
      'Messages from the daemon to a page. `snapshot` is the first after every connect and replaces all the page knows; the others change one part of it. `seq` grows by one a message on one connection; a hole means: connect again. A page that connects with `?parts=1` gets the state in parts: the snapshot has the first, `part` the others, and what is in none of them is no longer there.',
  });
export type LiveMessage = Output<typeof liveMessageSchema>;
