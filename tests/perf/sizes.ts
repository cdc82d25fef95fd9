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
  /** alarms that are called, and the readings of others meanwhile */
  readonly calls: number;
  readonly callReadingsPerS: number;
  readonly exposureDays: number;
  readonly exposureQueries: number;
  /** of the demo's back record, before the starts are measured */
  readonly demoPct: number;
  readonly starts: number;
  readonly idleMs: number;
  /** states of the air each climate formula is given a round */
  readonly climateStates: number;
  readonly climateRounds: number;
  readonly integrationSegments: number;
  readonly recordHours: number;
  /** hours that are sealed: of so many probes at such a cadence, of so many readings each at most */
  readonly sealed: readonly { readonly probes: number; readonly everyMs: number }[];
  readonly sealedSteps: number;
  readonly arrivalsPerS: number;
  readonly yearDays: number;
  /** cold processes of each kind, and questions to a warm one */
  readonly coldRounds: number;
  readonly warmRounds: number;
  /** devices of 20 probes each */
  readonly crowdDevices: number;
  readonly crowdHours: number;
  readonly backupMegabytes: number;
  readonly backupRounds: number;
  readonly restoreMegabytes: number;
  readonly restoreRounds: number;
  /** tried on the past of a place, and moves of a slider for each rule */
  readonly pastDays: number;
  readonly pastMoves: number;
  /** on record of a place that is forecast, and minutes that are looked at */
  readonly forecastDays: number;
  readonly forecastMinutes: number;
  /** minutes of a steady rate while pages look on */
  readonly soakMinutes: number;
  readonly soakReadingsPerS: number;
  readonly soakPages: number;
  /** benches on one page, their past, and visits on a slow machine */
  readonly pageBenches: number;
  readonly pageDays: number;
  readonly pageEveryMs: number;
  readonly pageVisits: number;
  readonly pageUpdates: number;
  readonly pageSeasonDays: number;
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
  calls: 320,
  callReadingsPerS: 2_000,
  exposureDays: 14,
  exposureQueries: 21,
  demoPct: 100,
  starts: 5,
  idleMs: 10_000,
  climateStates: 200_000,
  climateRounds: 9,
  integrationSegments: 3_000_000,
  recordHours: 24,
  sealed: [
    { probes: 1_000, everyMs: 10_000 },
    { probes: 100, everyMs: 1_000 },
  ],
  sealedSteps: 3_600,
  arrivalsPerS: 2_000,
  yearDays: 365,
  coldRounds: 7,
  warmRounds: 9,
  crowdDevices: 50,
  crowdHours: 24,
  backupMegabytes: 100,
  backupRounds: 3,
  restoreMegabytes: 100,
  restoreRounds: 3,
  pastDays: 30,
  pastMoves: 9,
  forecastDays: 38,
  forecastMinutes: 240,
  soakMinutes: 15,
  soakReadingsPerS: 2_000,
  soakPages: 50,
  pageBenches: 24,
  pageDays: 2,
  pageEveryMs: 60_000,
  pageVisits: 5,
  pageUpdates: 48,
  pageSeasonDays: 90,
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
  calls: 20,
  callReadingsPerS: 200,
  exposureDays: 1,
  exposureQueries: 2,
  demoPct: 1,
  starts: 1,
  idleMs: 100,
  climateStates: 200,
  climateRounds: 1,
  integrationSegments: 10_000,
  recordHours: 0.1,
  sealed: [{ probes: 20, everyMs: 10_000 }],
  sealedSteps: 10,
  arrivalsPerS: 2_000,
  yearDays: 2,
  coldRounds: 1,
  warmRounds: 1,
  crowdDevices: 2,
  crowdHours: 0.1,
  backupMegabytes: 1,
  backupRounds: 1,
  restoreMegabytes: 1,
  restoreRounds: 1,
  pastDays: 2,
  pastMoves: 1,
  forecastDays: 4,
  forecastMinutes: 2,
  soakMinutes: 0.05,
  soakReadingsPerS: 40,
  soakPages: 2,
  pageBenches: 2,
  pageDays: 0.1,
  pageEveryMs: 60_000,
  pageVisits: 1,
  pageUpdates: 4,
  pageSeasonDays: 2,
};
