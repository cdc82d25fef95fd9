import { z } from 'zod';
import { foreignFilterSchema, type Mapping, mappingSchema } from '../model/mapping.ts';

/** Somebody watches for so long after the page last said so; foreign topics are listened to for so long, ms. */
export const WATCH_LASTS_MS = 120_000;
export const LISTEN_LASTS_MS = 120_000;

/** What became of a message, in the words of `strikewell check`. */
export type HeardVerdict = {
  /** unkept: the record could not be written; waiting: its device is new, and waits to be accepted */
  readonly outcome: 'stored' | 'refused' | 'status' | 'other' | 'unkept' | 'waiting';
  readonly device: string | null;
  readonly code: string | null;
  readonly pointer: string | null;
  /** what was or would be stored and where, or why not and what mends it, a line each */
  readonly lines: readonly string[];
};

/** A message as it came. */
export type HeardMessage = {
  /** grows by one a message */
  readonly id: number;
  readonly topic: string;
  /** RFC 3339 */
  readonly at: string;
  readonly bytes: number;
  readonly retained: boolean;
  /** the first part of the payload, what cannot be seen escaped */
  readonly start: string;
  readonly whole: boolean;
  readonly verdict: HeardVerdict;
};

/** What was heard after the message that was named. */
export type WatchAnswer = {
  /** until when messages are noted unless somebody watches on, RFC 3339; null while nobody watches */
  readonly until: string | null;
  /** of the newest message */
  readonly last: number;
  /** whether messages between were not kept */
  readonly gap: boolean;
  readonly messages: readonly HeardMessage[];
};

/** A topic that nothing reads. Times in RFC 3339. */
export type UnreadTopic = {
  readonly topic: string;
  /** the nearest topic of the contract; null where the topic resembles none */
  readonly suggestion: string | null;
  /** what is wrong with the topic, in words that follow a dash; null where nothing is known of it */
  readonly fault: string | null;
  readonly count: number;
  readonly firstAt: string;
  readonly lastAt: string;
  /** who sent the last message, where the broker knows */
  readonly clientId: string | null;
  readonly device: string | null;
  readonly address: string | null;
  readonly bytes: number;
  /** the first characters of the last payload */
  readonly start: string;
};

export type UnreadAnswer = {
  /** misspelt ones first, then by the time of their last message */
  readonly topics: readonly UnreadTopic[];
  /** topics that were listed and had to make room */
  readonly leftOut: number;
  /** whether such topics can be seen: at an outside broker it must allow a subscription */
  readonly source: 'embedded' | 'listening' | 'refused' | 'away';
};

/** A foreign message that was heard, whole where it is text of JSON. */
export type CapturedMessage = HeardMessage & {
  /** the payload as JSON; null when it is none, or nests too deep to be shown so */
  readonly json: unknown;
};

export type ListenAnswer = {
  readonly filter: string | null;
  /** RFC 3339; null when nobody listens */
  readonly until: string | null;
  readonly last: number;
  readonly messages: readonly CapturedMessage[];
};

/** A mapping and what came of it since the daemon started. */
export type MappingView = Mapping & {
  readonly lastAt: string | null;
  readonly lastTopic: string | null;
  /** why the last message was refused; null when it was taken */
  readonly lastCode: string | null;
  /** readings */
  readonly stored: number;
  /** messages */
  readonly refused: number;
};

/** A name a reading can be given, in words, with the units it may be sent in. */
export type MappableProbe = {
  readonly probe: string;
  readonly words: string;
  readonly units: readonly string[];
};

export type MappingsAnswer = {
  readonly mappings: readonly MappingView[];
  readonly probes: readonly MappableProbe[];
  /** RFC 3339: since when counts count */
  readonly since: string;
};

/** What a mapping would make of a message that was heard. */
export type TryAnswer = { readonly verdict: HeardVerdict };

export const listenRequestSchema = z.strictObject({ filter: foreignFilterSchema });
export const tryRequestSchema = z.strictObject({ mapping: mappingSchema, heard: z.number().int().min(1) });
