import type { z } from 'zod';
import { liveMessageSchema } from '../../shared/wire/live.ts';
import { alarmMessageSchema, heartbeatSchema, placeNowMessageSchema } from '../../shared/wire/topics.ts';
import { jsonIn } from './answer-check.ts';

const OWN_TOPICS: readonly (readonly [RegExp, z.ZodType])[] = [
  [/^strikewell\/1\/watch\/heartbeat$/, heartbeatSchema],
  [/^strikewell\/1\/places\/[^/]+\/now$/, placeNowMessageSchema],
  [/^strikewell\/1\/alarms\/[^/]+$/, alarmMessageSchema],
];

const faults: string[] = [];

/** What was sent and fits no schema since this was asked last. */
export function takeFaults(): string[] {
  return faults.splice(0);
}

/** Holds a message on a topic of the daemon to its schema; an empty one says that what it was about is gone. */
export function checkPublished({
  topic,
  payload,
}: {
  readonly topic: string;
  readonly payload: string;
}): void {
  const [, schema] = OWN_TOPICS.find(([pattern]) => pattern.test(topic)) ?? [];
  if (schema !== undefined && payload !== '') hold(schema, { what: topic, text: payload });
}

/** Holds a message of the live feed to its schema. */
export function checkFrame(text: string): void {
  hold(liveMessageSchema, { what: '/live', text });
}

function hold(schema: z.ZodType, { what, text }: { readonly what: string; readonly text: string }): void {
  const read = schema.safeParse(jsonIn(text));
  if (read.success) return;
  const words = read.error.issues.map(({ path, message }) => `${path.join('.')} ${message}`).join('; ');
  faults.push(`${what}: ${words}: ${text.slice(0, 2_000)}`);
}
