import { z } from 'zod';

/** Alarm states, in the words of IEC 62682 / ISA-18.2. */
export const ALARM_STATES = ['normal', 'unacknowledged', 'acknowledged', 'returned-unacknowledged'] as const;
export const ALARM_RULES = ['air-over-ceiling', 'no-data'] as const;
export const ALARM_TRANSITIONS = ['raised', 'acknowledged', 'returned', 'shelved', 'unshelved'] as const;

export type AlarmState = (typeof ALARM_STATES)[number];
export type AlarmRule = (typeof ALARM_RULES)[number];
export type AlarmTransition = (typeof ALARM_TRANSITIONS)[number];
export type AlarmPriority = 'high' | 'medium' | 'low';

/** One alarm of one place as others see it; times in ms since epoch, `null` when it has not happened. */
export type Alarm = {
  readonly id: string;
  readonly placeId: string;
  readonly placeName: string;
  readonly rule: AlarmRule;
  readonly priority: AlarmPriority;
  readonly state: AlarmState;
  readonly raisedAtMs: number | null;
  readonly acknowledgedAtMs: number | null;
  readonly returnedAtMs: number | null;
  readonly shelvedUntilMs: number | null;
  readonly shelvedReason: string | null;
  readonly facts: AlarmFacts | null;
};

/**
 * What an alarm says about its cause, enough to make its words in either unit.
 * `air-over-ceiling`: value and limit in °C, peak in °C, slope in K per minute.
 * `no-data`: the probes that fell silent and when they last told.
 */
export type AlarmFacts =
  | {
      readonly kind: 'air-over-ceiling';
      readonly valueC: number;
      readonly ceilingC: number;
      readonly peakC: number;
      readonly sinceMs: number;
      readonly atMs: number;
      readonly slopeKPerMin: number | null;
    }
  | {
      readonly kind: 'no-data';
      readonly silent: readonly { readonly probe: string; readonly lastMs: number }[];
      readonly wholePlace: boolean;
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
