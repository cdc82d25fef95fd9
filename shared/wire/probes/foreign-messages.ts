import { z } from 'zod';
import type { Output } from '../../model/output.ts';
import { foreignFilterSchema, keptMappingSchema, mappingSchema } from '../../model/probes/mapping.ts';

/** Somebody watches for so long after the page last said so; foreign topics are listened to for so long, ms. */
export const WATCH_LASTS_MS = 120_000;
export const LISTEN_LASTS_MS = 120_000;

export const listenRequestSchema = z.strictObject({ filter: foreignFilterSchema });
export const tryRequestSchema = z.strictObject({ mapping: mappingSchema, heard: z.number().int().min(1) });

const messageVerdictSchema = z
  .strictObject({
    outcome: z
      .enum(['stored', 'refused', 'status', 'other', 'unkept', 'waiting'])
      .describe(
        'unkept: the record could not be written; waiting: its device is new, and waits to be accepted',
      ),
    device: z.string().nullable(),
    code: z.string().nullable(),
    pointer: z.string().nullable(),
    lines: z
      .array(z.string())
      .describe('what was or would be stored and where, or why not and how to fix it, a line each'),
  })
  .meta({ id: 'HeardVerdict', description: 'What became of a message, in the words of `strikewell check`.' });
export type MessageVerdict = Output<typeof messageVerdictSchema>;

const receivedMessageSchema = z
  .strictObject({
    id: z.number().describe('grows by one a message'),
    topic: z.string(),
    at: z.string().describe('RFC 3339'),
    bytes: z.number(),
    retained: z.boolean(),
    start: z.string().describe('the first part of the payload, what cannot be seen escaped'),
    whole: z.boolean(),
    verdict: messageVerdictSchema,
  })
  .meta({ id: 'HeardMessage', description: 'A message as it came.' });
export type ReceivedMessage = Output<typeof receivedMessageSchema>;

export const watchAnswerSchema = z
  .strictObject({
    until: z
      .string()
      .nullable()
      .describe(
        'until when messages are noted unless somebody watches on, RFC 3339; null while nobody watches',
      ),
    last: z.number().describe('of the newest message'),
    gap: z.boolean().describe('whether messages between were not kept'),
    messages: z.array(receivedMessageSchema),
  })
  .meta({ id: 'WatchAnswer', description: 'What was heard after the message that was named.' });
export type WatchAnswer = Output<typeof watchAnswerSchema>;

const unreadTopicSchema = z
  .strictObject({
    topic: z.string(),
    suggestion: z
      .string()
      .nullable()
      .describe('the nearest topic of the contract; null where the topic resembles none'),
    fault: z
      .string()
      .nullable()
      .describe(
        'what is wrong with the topic, in words that follow a dash; null where nothing is known of it',
      ),
    count: z.number(),
    firstAt: z.string(),
    lastAt: z.string(),
    clientId: z.string().nullable().describe('who sent the last message, where the broker knows'),
    device: z.string().nullable(),
    address: z.string().nullable(),
    bytes: z.number(),
    start: z.string().describe('the first characters of the last payload'),
  })
  .meta({ id: 'UnreadTopic', description: 'A topic that nothing reads. Times in RFC 3339.' });
export type UnreadTopic = Output<typeof unreadTopicSchema>;

export const unreadAnswerSchema = z
  .strictObject({
    topics: z
      .array(unreadTopicSchema)
      .describe('misspelt ones first, then by the time of their last message'),
    leftOut: z.number().describe('topics that were listed and had to make room'),
    source: z
      .enum(['embedded', 'listening', 'refused', 'away'])
      .describe('whether such topics can be seen: at an outside broker it must allow a subscription'),
  })
  .meta({ id: 'UnreadAnswer' });
export type UnreadAnswer = Output<typeof unreadAnswerSchema>;

const capturedMessageSchema = receivedMessageSchema
  .extend({
    json: z.unknown().describe('the payload as JSON; null when it is none, or nests too deep to be shown so'),
  })
  .meta({
    id: 'CapturedMessage',
    description: 'A foreign message that was heard, whole where it is text of JSON.',
  });
export type CapturedMessage = Output<typeof capturedMessageSchema>;

export const listenAnswerSchema = z
  .strictObject({
    filter: z.string().nullable(),
    until: z.string().nullable().describe('RFC 3339; null when nobody listens'),
    last: z.number(),
    messages: z.array(capturedMessageSchema),
  })
  .meta({ id: 'ListenAnswer' });
export type ListenAnswer = Output<typeof listenAnswerSchema>;

export const mappingViewSchema = keptMappingSchema
  .safeExtend({
    lastAt: z.string().nullable(),
    lastTopic: z.string().nullable(),
    lastCode: z.string().nullable().describe('why the last message was refused; null when it was taken'),
    stored: z.number().describe('readings'),
    refused: z.number().describe('messages'),
  })
  .meta({ id: 'MappingView', description: 'A mapping and its results since the daemon started.' });
export type MappingView = Output<typeof mappingViewSchema>;

const mappableProbeSchema = z
  .strictObject({ probe: z.string(), words: z.string(), units: z.array(z.string()) })
  .meta({
    id: 'MappableProbe',
    description: 'A name a reading can be given, in words, with the units it may be sent in.',
  });
export type MappableProbe = Output<typeof mappableProbeSchema>;

export const mappingsAnswerSchema = z
  .strictObject({
    mappings: z.array(mappingViewSchema),
    probes: z.array(mappableProbeSchema),
    since: z.string().describe('RFC 3339: since when counts count'),
  })
  .meta({ id: 'MappingsAnswer' });
export type MappingsAnswer = Output<typeof mappingsAnswerSchema>;

export const tryAnswerSchema = z
  .strictObject({ verdict: messageVerdictSchema })
  .meta({ id: 'TryAnswer', description: 'What a mapping would make of a message that was heard.' });
export type TryAnswer = Output<typeof tryAnswerSchema>;
