import { z } from 'zod';
import { wireFactsSchema } from '../../rules/facts.ts';
import { ALARM_PRIORITIES, type AlarmPriority } from '../../rules/rule.ts';
import { ALARM_RULES } from '../../rules/rules.ts';
import type { Output } from '../output.ts';

/** Alarm states, in the words of IEC 62682 / ISA-18.2. */
export const ALARM_STATES = [
  'normal',
  'unacknowledged',
  'acknowledged',
  'returned-unacknowledged',
  'latched-unacknowledged',
  'latched-acknowledged',
] as const;
export const ALARM_TRANSITIONS = [
  'raised',
  'acknowledged',
  'returned',
  're-alarmed',
  'priority-raised',
  'reset',
  'shelved',
  'unshelved',
  'suppressed',
  'unsuppressed',
  'out-of-service',
  'in-service',
  'not-judged',
  'judged-again',
] as const;
/** What keeps an alarm from being announced: nothing, a person for a time, the rules themselves, or maintenance. */
const SUPPRESSIONS = ['none', 'shelved', 'by-design', 'out-of-service'] as const;

export type AlarmState = (typeof ALARM_STATES)[number];
export type AlarmTransition = (typeof ALARM_TRANSITIONS)[number];

/** Longest time for which an alarm may be shelved, by priority. PROPOSAL of the project, no standard's figure. */
export const MAX_SHELVE_MS: Readonly<Record<AlarmPriority, number>> = {
  high: 2 * 3_600_000,
  medium: 8 * 3_600_000,
  low: 24 * 3_600_000,
};

export const shelveRequestSchema = z.strictObject({
  minutes: z
    .number()
    .positive()
    .max(24 * 60),
  reason: z.string().trim().min(1).max(200),
});

export const outOfServiceRequestSchema = z.strictObject({ reason: z.string().trim().min(1).max(200) });

const alarmCauseSchema = z
  .strictObject({
    key: z.string().nullable().describe('null: not known, or not yet'),
    sentence: z.string().describe('the likely cause and what would make sure of it, or that it is not known'),
    evidence: z.array(z.string()).describe('what was seen that speaks for it'),
    confidence: z.number().min(0).max(1),
  })
  .meta({
    id: 'AlarmCause',
    description:
      'Why it is active, by what moved before it and in its first 10 min; judged once more after those.',
  });
export type AlarmCause = Output<typeof alarmCauseSchema>;

export const alarmSchema = z
  .strictObject({
    id: z.string(),
    placeId: z.string().nullable().describe('null for an alarm of the house itself'),
    placeName: z.string(),
    rule: z.enum(ALARM_RULES),
    priority: z.enum(ALARM_PRIORITIES),
    state: z.enum(ALARM_STATES),
    raisedAtMs: z.number().nullable(),
    acknowledgedAtMs: z.number().nullable(),
    acknowledgedBy: z.string().nullable(),
    returnedAtMs: z.number().nullable(),
    suppression: z.enum(SUPPRESSIONS),
    suppressedReason: z.string().nullable(),
    shelvedUntilMs: z.number().nullable(),
    shelvedReason: z.string().nullable(),
    facts: wireFactsSchema.nullable(),
    comesAndGoes: z
      .strictObject({ sinceMs: z.number(), times: z.number() })
      .describe('present while it is raised and returns again and again, and is sent once for all of it')
      .exactOptional(),
    notJudged: z
      .strictObject({ sinceMs: z.number(), why: z.string() })
      .describe('present while nothing that it rests on is judged: it had not recovered, and is judged again')
      .exactOptional(),
    cause: alarmCauseSchema
      .describe('present while it is active, where causes of its rule can be distinguished')
      .exactOptional(),
  })
  .meta({
    id: 'Alarm',
    description: 'One alarm as others see it; times in ms since epoch, `null` when it has not happened.',
  });
export type Alarm = Output<typeof alarmSchema>;

export const alarmEventSchema = z
  .strictObject({
    id: z.number(),
    alarmId: z.string(),
    transition: z.enum(ALARM_TRANSITIONS),
    atMs: z.number(),
    note: z.string().nullable(),
  })
  .meta({ id: 'AlarmEvent' });
export type AlarmEvent = Output<typeof alarmEventSchema>;

export type { AlarmFacts } from '../../rules/facts.ts';
