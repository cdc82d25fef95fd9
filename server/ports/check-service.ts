import type { Line } from '../../shared/model/line.ts';
import type { NewCheck } from '../../shared/model/probes/check.ts';
import type { Correction } from '../../shared/model/probes/correction.ts';
import type { ChecksAnswer, CheckView } from '../../shared/wire/probes/checks.ts';
import type { By } from './daemon.ts';

export type CorrectionOrder = Line & {
  /** ms since epoch; null: from now on */
  readonly fromMs: number | null;
  readonly reason: string;
  readonly checkId: number | null;
};

/** Checks and corrections, asked and ordered. Each throws Fault `not-found`, `bad-request` or `store-failed`. */
export type CheckService = {
  answer(): ChecksAnswer;
  check(checkId: number): CheckView;
  start(order: NewCheck & By): CheckView;
  /** The probe is in the bath, jar or place of the step that is next; or was, over a span of the past. */
  begin(checkId: number, span: { sinceMs: number | null; untilMs: number | null }): CheckView;
  /** Takes what is read by the step that is next, once it is steady; after the last the check is over. */
  take(checkId: number): CheckView;
  /** Gives up a check that is under way. */
  abandon(checkId: number): void;
  correct(probeId: number, order: CorrectionOrder & By): Correction;
  setWithdrawn(correctionId: number, order: { readonly withdrawn: boolean } & By): Correction;
  setDue(probeId: number, dueMs: number | null): void;
};
