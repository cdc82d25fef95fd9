import type { DiaryKind } from '../../../shared/model/cuttings/diary.ts';

/** An entry of the diary as it is kept; times in ms since epoch. */
export type KeptEntry = {
  readonly id: number;
  /** null: that place was removed */
  readonly placeId: string | null;
  readonly batchId: number | null;
  readonly kind: DiaryKind;
  readonly atMs: number;
  /** of a vent: when the cover was shut; null where only the opening was written down. Null of all others */
  readonly toMs: number | null;
  readonly note: string | null;
  /** who wrote it down */
  readonly by: string | null;
  /** name of the photo beside the record */
  readonly photo: string | null;
  readonly deletedMs: number | null;
};

/** Where a batch stood for a while, ms since epoch. */
type StaySpan = { readonly placeId: string; readonly fromMs: number; readonly toMs: number };

/** Which entries are asked for, newest first. */
export type EntryQuery = {
  readonly placeId: string | null;
  /** those of the batch itself, and those of the places where it stood that name no other batch */
  readonly batch: { readonly id: number; readonly stays: readonly StaySpan[] } | null;
  /** ms since epoch; the span holds its start, not its end */
  readonly fromMs: number;
  readonly toMs: number;
  readonly deleted: boolean;
  /** those that come after this one in the list */
  readonly after: { readonly atMs: number; readonly id: number } | null;
  readonly limit: number;
};

/**
 * An entry at another time: a vent keeps how long it was, but ends no later than now.
 * @param atMs ms since epoch, not after `nowMs`
 */
export function movedTo(entry: KeptEntry, atMs: number, nowMs: number): KeptEntry {
  const { toMs } = entry;
  if (toMs === null) return { ...entry, atMs };
  return { ...entry, atMs, toMs: Math.max(atMs, Math.min(toMs + atMs - entry.atMs, nowMs)) };
}
