import { LIMIT_RULES, type LimitRule } from '../rules/rules.ts';

/** Rules that can be tried on the past: all that hold a number against a limit. */
export const TRIABLE_RULES = LIMIT_RULES;
export type TriableRule = LimitRule;

/** An alarm that would have been raised. Harm: see `PastAnswer`. */
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
  /** how harm is counted: unit·h past the limit, or hours past it where the limit itself is a time */
  readonly harmIn: 'unit-hours' | 'hours';
  /** past the place's own limit over the whole span, and of that with no alarm standing */
  readonly harm: number;
  readonly harmUnsaid: number;
};
