/** A moment at which the wall clock was set, rather than advanced; times in ms since epoch. */
export type NewClockJump = {
  /** what it would have shown */
  readonly fromMs: number;
  /** what it showed */
  readonly toMs: number;
  readonly byMs: number;
  /** false where the computer was off in between: then it was set back by this at least */
  readonly exact: boolean;
};

export type ClockJump = NewClockJump & { readonly id: number };
