import type { CheckBody, KeptCheck } from '../../../shared/model/probes/check.ts';
import type { Correction } from '../../../shared/model/probes/correction.ts';
import type { Reading } from '../../../shared/model/probes/probe.ts';

export type NewCorrection = Omit<Correction, 'id' | 'withdrawnMs' | 'withdrawnBy'>;

/**
 * Corrections of probes, and when they were in a bath or jar. Both are applied where readings are read out of the record,
 * and to readings as they come, and nowhere else.
 */
export type Corrections = {
  /** those of a probe, or all, in the order in which they were entered */
  of(probeId: number | null): Correction[];
  one(id: number): Correction | null;
  add(correction: NewCorrection): Correction;
  /** Withdraws one, or with null takes that back. */
  setWithdrawn(id: number, withdrawn: { atMs: number; by: string | null } | null): void;
  /** What a reading is taken for: as the journal returns it. */
  valueOf(reading: Reading): number;
  /** Whether a probe was in a bath or jar at a time: the journal returns nothing of then. */
  isAway(probeId: number, tMs: number): boolean;
  /** Whether anything of a probe is used otherwise than it was reported, up to a time. */
  touches(probeId: number, untilMs: number): boolean;
};

export type DueCheck = { readonly probeId: number; readonly dueMs: number };

/** Checks of probes, under way and done, and when the next is due. */
export type Checks = {
  all(): KeptCheck[];
  one(id: number): KeptCheck | null;
  add(check: { probeId: number; startedMs: number; body: CheckBody }): KeptCheck;
  /** Keeps what became of one; `endedMs` null while it is under way. */
  save(check: Pick<KeptCheck, 'id' | 'endedMs' | 'body'>): void;
  remove(id: number): void;
  due(): DueCheck[];
  /** null: none is due */
  setDue(probeId: number, dueMs: number | null): void;
};
