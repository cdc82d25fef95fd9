import { z } from 'zod';
import type { WireFacts } from '../rules/ceiling-alias.ts';
import type { AlarmPriority, AlarmRule } from '../rules/rules.ts';

export type { AlarmFacts } from '../rules/facts.ts';

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
/** What keeps an alarm from being told: nothing, a person for a time, the rules themselves, or maintenance. */
export const SUPPRESSIONS = ['none', 'shelved', 'by-design', 'out-of-service'] as const;

export type AlarmState = (typeof ALARM_STATES)[number];
export type AlarmTransition = (typeof ALARM_TRANSITIONS)[number];
export type Suppression = (typeof SUPPRESSIONS)[number];

/** One alarm as others see it; times in ms since epoch, `null` when it has not happened. */
export type Alarm = {
  readonly id: string;
  /** null for an alarm of the house itself */
  readonly placeId: string | null;
  readonly placeName: string;
  readonly rule: AlarmRule;
  readonly priority: AlarmPriority;
  readonly state: AlarmState;
  readonly raisedAtMs: number | null;
  readonly acknowledgedAtMs: number | null;
  readonly acknowledgedBy: string | null;
  readonly returnedAtMs: number | null;
  readonly suppression: Suppression;
  readonly suppressedReason: string | null;
  readonly shelvedUntilMs: number | null;
  readonly shelvedReason: string | null;
  readonly facts: WireFacts | null;
  /** present while it is raised and returns again and again, and is told once for all of it */
  readonly comesAndGoes?: { readonly sinceMs: number; readonly times: number };
};

export type AlarmEvent = {
  readonly id: number;
  readonly alarmId: string;
  readonly transition: AlarmTransition;
  readonly atMs: number;
  readonly note: string | null;
};

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
