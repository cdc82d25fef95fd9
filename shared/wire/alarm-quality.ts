import type { AlarmPriority, AlarmRule } from '../rules/rules.ts';
import type { TriableRule } from './past.ts';

/**
 * What the alarms are held to: at most one a day in all, at most one of high priority a week and place.
 * PROPOSAL of the project for a bench with one keeper; process plants allow far more (ISA-18.2).
 */
export const ALARM_TARGETS = { perDay: 1, highPerWeekAndPlace: 1 } as const;

/** How the alarms of a span behaved; only those people were told of count. */
export type AlarmQuality = {
  readonly from: string;
  readonly to: string;
  readonly told: number;
  readonly perDay: number;
  readonly byPriority: Readonly<Record<AlarmPriority, number>>;
  /** the place with most alarms of high priority, in alarms a week */
  readonly highPerWeekAtWorst: number;
  /** alarms that were raised 3 times in a minute or more than 5 times in 5 */
  readonly chattering: number;
  /** came and went within 2 min and did not come back within 10 */
  readonly fleeting: number;
  /** stood longer than 24 h */
  readonly stale: number;
  readonly medianAcknowledgeMin: number | null;
  readonly longestAcknowledgeMin: number | null;
  /** nobody ever answered */
  readonly unanswered: number;
  readonly meetsTargets: boolean;
};

/** A rule of a place that speaks most, and what might be tried on its past. */
export type TalkativeAlarm = {
  readonly alarmId: string;
  readonly placeId: string | null;
  readonly placeName: string;
  readonly rule: AlarmRule;
  readonly told: number;
  /** null where the rule cannot be tried on the past */
  readonly tryIt: {
    readonly rule: TriableRule;
    readonly onDelayMin: number;
    readonly deadband: number;
  } | null;
};

export type AlarmQualityAnswer = {
  readonly whole: AlarmQuality;
  readonly weeks: readonly AlarmQuality[];
  readonly talkative: readonly TalkativeAlarm[];
};
