import type { BatchBody, Count, SheetFrom } from '../../../shared/model/cuttings/batch.ts';
import type { StageId } from '../../../shared/model/cuttings/sheet.ts';

/**
 * Where an edit stands among all edits of batches, of who leads and of targets by hand: of two that hold from one
 * instant, the one entered later counts.
 */
export type Entered = { readonly entered: number };

/** A batch stood at a place from a time on, ms since epoch; null: that place was removed. */
export type Stay = Entered & { readonly n: number; readonly placeId: string | null; readonly fromMs: number };
export type StageFrom = Entered & { readonly n: number; readonly stage: StageId; readonly fromMs: number };
export type CountEntry = { readonly n: number; readonly atMs: number; readonly count: Count };

/** A batch as it is kept; times in ms since epoch. */
export type KeptBatch = {
  readonly id: number;
  readonly body: BatchBody;
  readonly stuckMs: number;
  readonly closed: (Entered & { readonly atMs: number }) | null;
  readonly deletedMs: number | null;
  /** ascending, no two from one instant; the first, number 0, from when it was stuck */
  readonly stays: readonly Stay[];
  /** ascending, no two from one instant; the first from when it was stuck */
  readonly stages: readonly StageFrom[];
  /** in the order of time */
  readonly counts: readonly CountEntry[];
};

/** Somebody chose which batch leads at a place from a time on, or with null that none does. */
export type LeadingChoice = Entered & { readonly batchId: number | null; readonly fromMs: number };

/** One of some entries with the span over which it holds, ms since epoch; `toMs` is infinite while it lasts. */
export type Holding<T> = T & { readonly toMs: number };

/**
 * Entries that each hold until the next, with their ends.
 * @param entries ascending by `fromMs`
 * @param endMs when the last ends; none holds beyond it
 * @returns those that hold for any time at all
 */
export function holding<T extends { readonly fromMs: number }>(
  entries: readonly T[],
  endMs = Number.POSITIVE_INFINITY,
): Holding<T>[] {
  return entries
    .map((entry, i) => ({ ...entry, toMs: Math.min(entries[i + 1]?.fromMs ?? endMs, endMs) }))
    .filter(({ fromMs, toMs }) => fromMs < toMs);
}

/** The entry that holds at an instant, or null before the first. @param entries ascending by `fromMs` */
export function entryAt<T extends { readonly fromMs: number }>(
  entries: readonly T[],
  atMs: number,
): T | null {
  return entries.findLast(({ fromMs }) => fromMs <= atMs) ?? null;
}

/** When a batch ended, ms since epoch; infinite while it is open. */
export function endOf({ closed }: Pick<KeptBatch, 'closed'>): number {
  return closed?.atMs ?? Number.POSITIVE_INFINITY;
}

/** What its sheet says of a batch at an instant. */
type Standing = { readonly stage: StageFrom; readonly sheet: SheetFrom };

/** The stage of a batch at an instant, with the sheet it had; the first of each before it was stuck. */
export function standingAt({ stages, body }: Pick<KeptBatch, 'stages' | 'body'>, atMs: number): Standing {
  const stage = entryAt(stages, atMs) ?? stages[0];
  const sheet = entryAt(body.sheets, atMs) ?? body.sheets[0];
  if (!stage || !sheet) throw new RangeError('a batch has a stage and a sheet');
  return { stage, sheet };
}
