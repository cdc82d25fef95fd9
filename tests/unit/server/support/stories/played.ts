import type { AlarmEvent } from '../../../../../shared/model/alarms/alarm.ts';
import type { Targets } from '../../../../../shared/model/targets.ts';
import type { AlarmFacts } from '../../../../../shared/rules/facts.ts';
import type { AlarmRule, LimitRule } from '../../../../../shared/rules/rules.ts';
import type { PastAlarmView } from '../../../../../shared/wire/alarms/past.ts';
import type { ProbeName, Story } from './story.ts';

/** What each probe of one message read, as it was sent. */
export type Values = ReadonlyMap<ProbeName, number>;

/** What happened in a story, in order; times in ms since epoch. */
export type Happening =
  | { readonly kind: 'pack'; readonly tMs: number; readonly values: Values }
  | { readonly kind: 'time'; readonly toMs: number }
  | { readonly kind: 'targets'; readonly fromMs: number; readonly targets: Targets }
  | { readonly kind: 'correct'; readonly probe: ProbeName; readonly offset: number; readonly atMs: number }
  | { readonly kind: 'archive'; readonly probe: ProbeName; readonly atMs: number }
  | { readonly kind: 'rule'; readonly rule: LimitRule; readonly on: boolean }
  | { readonly kind: 'mat'; readonly mat: boolean | null }
  | { readonly kind: 'down'; readonly fromMs: number; readonly toMs: number }
  | { readonly kind: 'clock' };

/** What the daemon says of the place at a moment. */
export type Look = {
  readonly nowMs: number;
  /** how much had happened by then */
  readonly at: number;
  readonly state: string;
  readonly harm: number | null;
  readonly alarms: readonly {
    readonly rule: AlarmRule;
    readonly active: boolean;
    readonly suppression: string;
    readonly why: string | null;
    readonly wholePlace: boolean;
    /** heat or mist cannot be judged because of it */
    readonly isBlind: boolean;
  }[];
};

/** An alarm that said that it was over, with what had just been read. */
export type Return = {
  readonly rule: LimitRule;
  readonly how: 'pack' | 'time';
  readonly values: Values;
  readonly atMs: number;
  readonly facts: AlarmFacts | null;
};

export type Played = {
  readonly story: Story;
  readonly startMs: number;
  readonly endMs: number;
  readonly log: readonly Happening[];
  readonly looks: readonly Look[];
  readonly returns: readonly Return[];
  /** no clock was set */
  readonly clean: boolean;
  readonly events: ReadonlyMap<LimitRule, readonly AlarmEvent[]>;
  readonly trials: ReadonlyMap<LimitRule, readonly PastAlarmView[]>;
};
