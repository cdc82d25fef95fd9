import type { Family } from '../domain/metrics/families.ts';

export type { Family } from '../domain/metrics/families.ts';

/** What is measured of the running daemon beside its record. */
export type Measures = {
  /** Does work that stores messages, and remembers how long that took. */
  timed<T>(work: () => T): T;
  /** All of it with what is measured of the record, as OpenMetrics text. */
  text(families: readonly Family[]): Promise<string>;
};
