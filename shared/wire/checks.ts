import type { CheckKind, CheckResult, CheckStep } from '../model/check.ts';
import type { Correction, Line } from '../model/correction.ts';

/** What a step still waits for, as far as it is: both in the unit the criterion is told in. */
export type Criterion = {
  readonly name: 'in-place' | 'fresh' | 'unbroken' | 'spread' | 'slope' | 'temperature';
  readonly met: boolean;
  /** null where nothing can be said yet */
  readonly has: number | null;
  readonly needs: number;
};

/** How far a step that began has come to rest; values in the unit of the probe, as it tells them. */
export type Steadiness = {
  readonly steady: boolean;
  readonly criteria: readonly Criterion[];
  readonly readings: number;
  /** mean over the last stretch that is judged */
  readonly mean: number | null;
  readonly newest: number | null;
  readonly newestMs: number | null;
  /** of a salt solution, °C */
  readonly temperatureC: number | null;
  /** what it should read, with the uncertainty to either side; null where that cannot be told */
  readonly reference: number | null;
  readonly uncertainty: number | null;
};

/** A check; times in RFC 3339, those within steps in ms since epoch. */
export type CheckView = {
  readonly id: number;
  readonly probeId: number;
  readonly kind: CheckKind;
  readonly by: string | null;
  readonly started: string;
  readonly ended: string | null;
  readonly temperature: { readonly probeId: number } | { readonly celsius: number } | null;
  readonly steps: readonly CheckStep[];
  readonly result: CheckResult | null;
  /** the step that is next or under way; null when all are taken */
  readonly at: number | null;
  /** of the step that is under way */
  readonly steadiness: Steadiness | null;
};

/** What is known of the truth of one probe. */
export type ProbeTruth = {
  readonly probeId: number;
  /** how it can be checked */
  readonly kinds: readonly CheckKind[];
  /** how far it may be corrected; null where it cannot be */
  readonly limits: {
    readonly gain: readonly [number, number];
    readonly offset: readonly [number, number];
  } | null;
  /** its newest reading as told, and as corrected; ms since epoch */
  readonly told: { readonly tMs: number; readonly value: number; readonly corrected: number } | null;
  /** what holds now; null where it is taken as told */
  readonly inForce: (Line & { readonly fromMs: number }) | null;
  /** in the order in which they were entered, withdrawn ones too */
  readonly corrections: readonly Correction[];
  /** RFC 3339; null where no check is due */
  readonly due: string | null;
  readonly lastCheck: string | null;
};

export type ChecksAnswer = {
  readonly probes: readonly ProbeTruth[];
  readonly open: readonly CheckView[];
  /** newest first */
  readonly done: readonly CheckView[];
};
