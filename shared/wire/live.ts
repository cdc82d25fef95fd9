import { z } from 'zod';
import { alarmSchema } from '../model/alarms/alarm.ts';
import type { Output } from '../model/output.ts';
import { houseFactsSchema } from './house.ts';
import { LIVE_VERSION } from './live-version.ts';
import { placeNowSchema, placeSummarySchema } from './places/place.ts';

const numbered = {
  v: z.literal(LIVE_VERSION),
  seq: z.int().min(1).describe('grows by one a message on one connection; after a hole, connect again'),
};
const atMs = z.int().describe('when it was made, ms since epoch by the daemon’s clock');
const state = { places: z.array(placeSummarySchema), alarms: z.array(alarmSchema) };

/** Messages of the live feed by their type. */
export const LIVE_MESSAGES = {
  snapshot: z
    .strictObject({
      ...numbered,
      type: z.literal('snapshot'),
      atMs,
      ...state,
      house: houseFactsSchema,
      more: z
        .boolean()
        .describe('true: `part` messages with other places and alarms follow; absent or false: this is all')
        .exactOptional(),
    })
    .meta({ id: 'LiveSnapshot', description: 'The first message: it replaces all that was known before.' }),
  part: z
    .strictObject({
      ...numbered,
      type: z.literal('part'),
      atMs,
      ...state,
      more: z.boolean().describe('false: this is the last part'),
    })
    .meta({
      id: 'LivePart',
      description: 'Other places and alarms, after a snapshot; what is in no part is no longer there.',
    }),
  now: z
    .strictObject({ ...numbered, type: z.literal('now'), atMs, now: placeNowSchema })
    .meta({ id: 'LiveNow', description: 'The present state of a place, after readings.' }),
  place: z
    .strictObject({ ...numbered, type: z.literal('place'), place: placeSummarySchema })
    .meta({ id: 'LivePlace', description: 'A place that is new, or was changed by somebody.' }),
  'place-gone': z
    .strictObject({ ...numbered, type: z.literal('place-gone'), placeId: z.string() })
    .meta({ id: 'LivePlaceGone', description: 'A place that was archived or deleted.' }),
  alarm: z
    .strictObject({ ...numbered, type: z.literal('alarm'), alarm: alarmSchema })
    .meta({ id: 'LiveAlarm', description: 'An alarm whose state or facts changed.' }),
  house: z
    .strictObject({ ...numbered, type: z.literal('house'), house: houseFactsSchema })
    .meta({ id: 'LiveHouse', description: 'Facts of the installation, when they changed.' }),
  heard: z
    .strictObject({
      ...numbered,
      type: z.literal('heard'),
      watched: z.number().describe('number of the newest message at `/api/v1/watch`'),
      captured: z.number().describe('number of the newest message at `/api/v1/mappings/listen`'),
      unread: z.number().describe('grows with each message on a topic that nothing reads'),
    })
    .meta({ id: 'LiveHeard', description: 'Messages of devices were received, for who watches them.' }),
  beat: z
    .strictObject({ ...numbered, type: z.literal('beat'), atMs })
    .meta({ id: 'LiveBeat', description: 'Nothing but a sign of life, every 10 s.' }),
} as const;

export const liveMessageSchema = z
  .discriminatedUnion('type', [
    LIVE_MESSAGES.snapshot,
    LIVE_MESSAGES.part,
    LIVE_MESSAGES.now,
    LIVE_MESSAGES.place,
    LIVE_MESSAGES['place-gone'],
    LIVE_MESSAGES.alarm,
    LIVE_MESSAGES.house,
    LIVE_MESSAGES.heard,
    LIVE_MESSAGES.beat,
  ])
  .meta({
    id: 'LiveMessage',
    description:
      'Messages from the daemon to a page; a page sends none. `snapshot` is the first after every connect and replaces all the page knows; the others change one part of it. A page that connects with `?parts=1` gets the state in parts: the snapshot has the first, `part` the others, and what is in none of them is no longer there. Types and fields may be added: ignore those you do not know. Numbers are as they are, not rounded.',
  });
export type LiveMessage = Output<typeof liveMessageSchema>;
