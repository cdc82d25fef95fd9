import type { AccessRecord, Clock, Log, Secrets } from '../../ports.ts';

/** What the house's accounts are kept in, and who hears of a change. */
export type AccessDeps = {
  readonly record: AccessRecord;
  readonly secrets: Secrets;
  readonly clock: Clock;
  readonly log: Log;
  /** called when somebody may no longer what they could before: connections are looked at again */
  readonly onChange: () => void;
  /** whether sessions that have run out may be forgotten; they may unless given */
  readonly mayForget?: () => boolean;
};
