/** A value beyond the limit of its rule, in the unit of the rule; slope in that unit per minute; times in ms since epoch. */
export type PastLimitFacts = {
  readonly kind: 'past-limit';
  readonly value: number;
  readonly limit: number;
  /** the furthest beyond the limit since it began */
  readonly worst: number;
  readonly sinceMs: number;
  readonly atMs: number;
  readonly slopePerMin: number | null;
};

export type NoDataFacts = {
  readonly kind: 'no-data';
  readonly silent: readonly { readonly probe: string; readonly lastMs: number }[];
  readonly wholePlace: boolean;
};

/** A span in which nothing was monitored, or nothing reported. */
export type WasBlindFacts = { readonly kind: 'was-blind'; readonly fromMs: number; readonly toMs: number };

export type ProbeSuspectFacts = {
  readonly kind: 'probe-suspect';
  readonly findings: readonly {
    readonly probe: string;
    readonly finding: string;
    readonly sinceMs: number;
  }[];
};

export type WayFailingFacts = {
  readonly kind: 'way-failing';
  readonly ways: readonly { readonly way: string; readonly error: string; readonly sinceMs: number }[];
};

export type TestUnconfirmedFacts = {
  readonly kind: 'test-unconfirmed';
  /** `who`: the person, and the contact method; `error`: why it was not even delivered, or null */
  readonly tests: readonly { readonly who: string; readonly putMs: number; readonly error: string | null }[];
};

/** What is wrong with the installation itself: record, clock, messages, restore; words are ready to read. */
export type InstallationFacts = {
  readonly kind: 'installation';
  readonly items: readonly {
    readonly what: string;
    readonly sinceMs: number;
    readonly detail: string | null;
  }[];
};

/** What an alarm says about its cause, enough to make its words in either unit. */
export type AlarmFacts =
  | PastLimitFacts
  | NoDataFacts
  | WasBlindFacts
  | ProbeSuspectFacts
  | WayFailingFacts
  | TestUnconfirmedFacts
  | InstallationFacts;
