import type { ClockJump, NewClockJump } from '../../shared/model/clock.ts';

/** Readings of one probe that were set aside: between which times they are dated, ms since epoch, and how many. */
export type AsideSpan = {
  readonly jumpId: number;
  readonly probeId: number;
  readonly fromMs: number;
  readonly toMs: number;
  readonly readings: number;
};

export type GroupSpan = {
  readonly afterGroup: number;
  readonly upToGroup: number;
  readonly fromMs: number;
  readonly toMs: number;
};

/** Which readings to set aside; ms since epoch. */
export type AsideQuery = {
  readonly jumpId: number;
  /** those dated after this; null for none */
  readonly afterMs: number | null;
  /** those that were committed after a group and up to another, and are dated within a span */
  readonly groups: readonly GroupSpan[];
};

/** What is kept about a wall clock that was set while the daemon ran, or while it did not. */
export type ClockRecord = {
  addJump(jump: NewClockJump): ClockJump;
  /** Newest first. */
  jumps(limit: number): ClockJump[];
  /** Moves what waits for a moment of its own by so much, inside a transaction: messages, callings, tests. */
  shiftPending(byMs: number): void;
  /** Whether nothing that was reported is to be forgotten for its age, as the clock may be wrong. */
  keepAll(isKept: boolean): void;
  /** Number of the newest group of readings; 0 without one. */
  newestGroup(): number;
  /**
   * Takes readings out of the record and keeps them beside it, inside a transaction of its own that holds no reading.
   * @returns how many
   */
  setAside(query: AsideQuery): number;
  aside(): AsideSpan[];
  /** Marks what a jump had set aside to be taken back into the record. */
  takeBack(jumpId: number): void;
  /** Whether any is marked so. */
  isReturning(): boolean;
  /** Takes some of what is marked so back, inside a transaction; true while more is waiting. */
  takeBackSome(): boolean;
};
