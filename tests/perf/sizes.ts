/** How much of everything is measured. */
export type Sizes = {
  readonly seed: number;
  /** clients that publish at once, and messages each has under way */
  readonly clients: number;
  readonly underWay: number;
  /** every rate and its ceiling are measured in turns, so often, and their medians given */
  readonly rounds: number;
  /** messages of each ingest round; one round goes before, unmeasured, to warm up */
  readonly singles: number;
  readonly packs: number;
  readonly recordsAPack: number;
  readonly outsideMessages: number;
  readonly commits: number;
  readonly latencyMessages: number;
  readonly latencyEveryMs: number;
  readonly loadMessagesPerS: number;
  readonly exposureDays: number;
  readonly exposureQueries: number;
  /** of the demo's back record, before the starts are measured */
  readonly demoPct: number;
  readonly starts: number;
  readonly idleMs: number;
};

/** What `npm run perf` measures. */
export const FULL: Sizes = {
  seed: 20_261_125,
  clients: 4,
  underWay: 100,
  rounds: 3,
  singles: 100_000,
  packs: 10_000,
  recordsAPack: 20,
  outsideMessages: 8_000,
  commits: 1_000,
  latencyMessages: 100,
  latencyEveryMs: 130,
  loadMessagesPerS: 500,
  exposureDays: 14,
  exposureQueries: 21,
  demoPct: 100,
  starts: 5,
  idleMs: 10_000,
};

/** Enough to see that every measurement still works. */
export const TINY: Sizes = {
  seed: 20_261_125,
  clients: 2,
  underWay: 10,
  rounds: 1,
  singles: 200,
  packs: 20,
  recordsAPack: 3,
  outsideMessages: 50,
  commits: 20,
  latencyMessages: 3,
  latencyEveryMs: 50,
  loadMessagesPerS: 100,
  exposureDays: 1,
  exposureQueries: 2,
  demoPct: 1,
  starts: 1,
  idleMs: 100,
};
