import { z } from 'zod';
import { ALARM_STATES } from '../../../../shared/model/alarms/alarm.ts';
import type { AlarmFacts } from '../../../../shared/rules/facts.ts';
import { ALARM_RULES } from '../../../../shared/rules/rules.ts';
import type { StoredAlarm, StoredCalling } from '../tables/alarm-body.ts';
import { MAX_TIME_MS, MIN_TIME_MS } from './row-check.ts';

/** Longest text of a reason, a name or an error inside a body. */
const words = z.string().max(2_000);
/** Beyond these a date cannot be written down, and the page would not open. */
const atMs = z.number().min(MIN_TIME_MS).max(MAX_TIME_MS);
const MOST_ENTRIES = 10_000;

const conditionSchema = z.looseObject({
  phase: z.enum(['clear', 'arming', 'standing', 'clearing', 'lapsed']),
  sinceMs: atMs,
  lastMs: atMs,
  spentMs: z.number(),
  pace: z.number(),
  lapsedBy: words.exactOptional(),
  pastSinceMs: atMs.exactOptional(),
  pastLimit: z.number().exactOptional(),
});

const factsSchema = z.discriminatedUnion('kind', [
  z.looseObject({
    kind: z.literal('past-limit'),
    value: z.number(),
    limit: z.number(),
    worst: z.number(),
    sinceMs: atMs,
    atMs,
    slopePerMin: z.number().nullable(),
    moved: z.enum(['limit', 'correction']).exactOptional(),
  }),
  z.looseObject({
    kind: z.literal('no-data'),
    silent: z.array(z.looseObject({ probe: words, lastMs: atMs })).max(MOST_ENTRIES),
    wholePlace: z.boolean(),
    blind: z.array(words).max(MOST_ENTRIES).exactOptional(),
    matters: z.enum(['heat', 'near-ceiling', 'mist']).nullable().exactOptional(),
  }),
  z.looseObject({ kind: z.literal('was-blind'), fromMs: atMs, toMs: atMs }),
  z.looseObject({
    kind: z.literal('probe-suspect'),
    findings: z.array(z.looseObject({ probe: words, finding: words, sinceMs: atMs })).max(MOST_ENTRIES),
  }),
  z.looseObject({
    kind: z.literal('ceiling-expected'),
    valueC: z.number(),
    ceilingC: z.number(),
    expectedMs: atMs,
    earliestMs: atMs,
    latestMs: atMs.nullable(),
    byDay: z.boolean(),
    atMs,
  }),
  z.looseObject({
    kind: z.literal('floor-expected'),
    valueC: z.number(),
    floorC: z.number(),
    expectedMs: atMs.nullable(),
    morningMs: atMs,
    lowest: z.looseObject({ valueC: z.number(), low80C: z.number(), high80C: z.number() }).nullable(),
    atMs,
  }),
  z.looseObject({
    kind: z.literal('film-expected'),
    dryMs: atMs,
    nextMs: atMs,
    filmMin: z.number(),
    everyMin: z.number(),
    atMs,
  }),
  z.looseObject({
    kind: z.literal('way-failing'),
    ways: z.array(z.looseObject({ way: words, error: words, sinceMs: atMs })).max(MOST_ENTRIES),
  }),
  z.looseObject({
    kind: z.literal('test-unconfirmed'),
    tests: z.array(z.looseObject({ who: words, putMs: atMs, error: words.nullable() })).max(MOST_ENTRIES),
  }),
  z.looseObject({
    kind: z.literal('installation'),
    items: z.array(z.looseObject({ what: words, sinceMs: atMs, detail: words.nullable() })).max(MOST_ENTRIES),
  }),
]) satisfies z.ZodType<AlarmFacts>;

const suppressionSchema = z.discriminatedUnion('why', [
  z.looseObject({ why: z.literal('consequence'), of: words }),
  z.looseObject({ why: z.literal('vent'), sinceMs: atMs.exactOptional() }),
  z.looseObject({ why: z.literal('questions-open') }),
  z.looseObject({ why: z.literal('lapsed'), sinceMs: atMs, reason: words }),
]);

const chatterSchema = z.looseObject({
  raisedMs: z.array(atMs).max(MOST_ENTRIES),
  lastMs: atMs,
  held: z
    .looseObject({
      sinceMs: atMs,
      toldMs: atMs,
      times: z.number(),
      acknowledgedAtMs: atMs.nullable(),
    })
    .nullable(),
});

/** An alarm as the record keeps it. */
export const alarmRecordSchema = z.looseObject({
  id: words,
  placeId: words.nullable(),
  rule: z.enum(ALARM_RULES),
  priority: z.enum(['high', 'medium', 'low']),
  state: z.enum(ALARM_STATES),
  conditions: z.record(z.string().max(200), conditionSchema),
  raisedAtMs: atMs.nullable(),
  acknowledgedAtMs: atMs.nullable(),
  acknowledgedBy: words.nullable(),
  seenWorst: z.number().exactOptional(),
  returnedAtMs: atMs.nullable(),
  shelved: z.looseObject({ untilMs: atMs, reason: words, by: words.nullable() }).nullable(),
  byDesign: suppressionSchema.nullable(),
  outOfService: z.looseObject({ sinceMs: atMs, reason: words, by: words.nullable() }).nullable(),
  facts: factsSchema.nullable(),
  chatter: chatterSchema.nullable().optional(),
}) satisfies z.ZodType<Omit<StoredAlarm, 'chatter'>>;

const personIds = z.array(z.int()).max(MOST_ENTRIES);

const fullCallingSchema = z.looseObject({
  raisedMs: atMs.nullable(),
  askingSinceMs: atMs.nullable(),
  called: z.array(z.looseObject({ personId: z.int(), lastMs: atMs })).max(MOST_ENTRIES),
  told: personIds,
  toldOfReturn: personIds,
  toTellOfTaking: personIds,
  onSheet: z.boolean(),
}) satisfies z.ZodType<StoredCalling>;

/** Who was called about an alarm; one of an earlier version lacks what came since. */
export const callingSchema = fullCallingSchema.partial();
