import type { LimitRule } from '../model/alarm-rules.ts';

/** Rules that can be tried on the past: those that hold a reading, or what follows from it, against a limit. */
export const TRIABLE_RULES = [
  'air-over-ceiling',
  'air-far-over-ceiling',
  'air-below-band-at-night',
  'root-too-hot',
  'root-below-band',
  'vpd-above-band-in-light',
  'light-over-peak',
] as const satisfies readonly LimitRule[];
export type TriableRule = (typeof TRIABLE_RULES)[number];

/** An alarm that would have been raised. Harm is what was past the limit the place has, in unit·h. */
export type PastAlarmView = {
  readonly since: string;
  readonly raised: string;
  readonly returned: string | null;
  readonly worst: number;
  readonly harmBefore: number;
  readonly harmAfter: number;
};

export type PastAnswer = {
  readonly placeId: string;
  readonly rule: TriableRule;
  readonly from: string;
  readonly to: string;
  readonly unit: string;
  readonly coveredHours: number;
  readonly tried: {
    /** null: the limit in force at each moment */
    readonly limit: number | null;
    readonly onDelayMin: number;
    readonly offDelayMin: number;
    readonly deadband: number;
  };
  readonly alarms: readonly PastAlarmView[];
  readonly perWeek: number;
  /** unit·h past the place's own limit over the whole span, and of that with no alarm standing */
  readonly harm: number;
  readonly harmUnsaid: number;
};
