import { z } from 'zod';
import type { Output } from '../model/output.ts';
import { ALARM_PRIORITIES } from '../rules/rule.ts';
import { ALARM_RULES } from '../rules/rules.ts';
import { lifecycleFactsSchema } from './lifecycle.ts';

export const refusedPackSchema = z
  .strictObject({
    id: z.number(),
    code: z.string(),
    reason: z.string(),
    pointer: z.string().nullable(),
    device: z.string().nullable(),
    topic: z.string(),
    time: z.string().describe('RFC 3339'),
    bytes: z.number(),
    payload: z.string().describe('the payload as text, cut to 64 KiB'),
  })
  .meta({ id: 'RefusedPack' });
export type RefusedPack = Output<typeof refusedPackSchema>;

const pageStateSchema = z.enum(['current', 'older', 'missing']).meta({
  id: 'PageState',
  description: 'The built page: as its sources are, older than a source, or not there.',
});
export type PageState = Output<typeof pageStateSchema>;

const roomSchema = z
  .strictObject({
    databaseBytes: z.number().describe('the record with its write-ahead log'),
    freeBytes: z.number(),
    bytesPerDay: z.number().nullable(),
    daysLeft: z
      .number()
      .nullable()
      .describe('whole days until record and backups fill the disk; 730 stands for two years or more'),
    readings: z
      .strictObject({ keepDays: z.number().nullable(), from: z.string().nullable() })
      .describe(
        'whole days for which readings are kept, null for ever; `from`: before it, RFC 3339, there are minutes instead',
      )
      .exactOptional(),
  })
  .meta({
    id: 'Room',
    description: 'Room on the disk of the record; a forecast is null while there is too little to go by.',
  });
export type Room = Output<typeof roomSchema>;

const floodFactsSchema = z
  .strictObject({
    since: z.string().describe('RFC 3339'),
    told: z.number(),
    first: z.strictObject({ alarmId: z.string(), placeName: z.string(), rule: z.enum(ALARM_RULES) }),
    byPriority: z.record(z.enum(ALARM_PRIORITIES), z.number()),
    byPlace: z
      .array(z.strictObject({ placeName: z.string(), told: z.number() }))
      .describe('most alarms first'),
  })
  .meta({ id: 'FloodFacts', description: 'A flood of alarms: what was sent in the last ten minutes.' });
export type FloodFacts = Output<typeof floodFactsSchema>;

export const houseFactsSchema = lifecycleFactsSchema
  .extend({
    version: z.string(),
    timeZone: z.string(),
    broker: z.strictObject({ embedded: z.boolean(), address: z.string(), connected: z.boolean() }),
    readings: z.strictObject({ received: z.number(), refused: z.number(), conflicts: z.number() }),
    demo: z.strictObject({ running: z.boolean(), progressPct: z.number().nullable() }),
    webhook: z.strictObject({ set: z.boolean(), waiting: z.number(), lastError: z.string().nullable() }),
    store: z
      .strictObject({
        writable: z.boolean(),
        since: z.string().nullable(),
        reserveBytes: z
          .number()
          .describe(
            'disk space held back for alarms on a full disk; 0 where it was given up, or there never was space for it',
          )
          .exactOptional(),
      })
      .describe('not writable: what arrives is judged in memory and not acknowledged; `since` in RFC 3339'),
    backup: z.strictObject({
      lastAt: z.string().nullable().describe('when the newest good one was begun, RFC 3339'),
      running: z.boolean(),
      progressPct: z.number().nullable(),
      lastError: z.string().nullable(),
    }),
    room: roomSchema,
    page: pageStateSchema
      .describe('how the page stood when the daemon started; absent from versions before')
      .exactOptional(),
    flood: floodFactsSchema
      .nullable()
      .describe('alarms come faster than one person can answer them; absent or null while they do not')
      .exactOptional(),
  })
  .meta({ id: 'HouseFacts' });
export type HouseFacts = Output<typeof houseFactsSchema>;

export const backupsAnswerSchema = z
  .strictObject({
    backups: z.array(
      z.strictObject({
        name: z.string(),
        at: z.string().describe('when it was begun, RFC 3339'),
        bytes: z.number(),
        verified: z.boolean(),
      }),
    ),
    running: z.strictObject({ name: z.string(), progressPct: z.number() }).nullable(),
    lastError: z.string().nullable(),
    dailyAt: z
      .string()
      .nullable()
      .describe('time of day at which one is made, or null when none is by itself'),
  })
  .meta({ id: 'BackupsAnswer' });
export type BackupsAnswer = Output<typeof backupsAnswerSchema>;
