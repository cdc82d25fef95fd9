import type { AccessRecord, Clock, CommonPasswords, Log, PasskeyCheck, Secrets } from '../../ports.ts';
import type { createConfirmations } from './confirmations.ts';
import type { createEvents } from './events.ts';

/** What the installation's accounts are kept in, and who is notified of a change. */
export type AccessDeps = {
  readonly record: AccessRecord;
  readonly secrets: Secrets;
  readonly common: CommonPasswords;
  readonly passkeyCheck: PasskeyCheck;
  readonly clock: Clock;
  readonly log: Log;
  /** called when somebody may no longer what they could before: connections are checked again */
  readonly onChange: () => void;
  /** whether sessions that have run out may be forgotten; they may unless given */
  readonly mayForget?: () => boolean;
};

/** What the parts of access share. */
export type AccessParts = AccessDeps & {
  readonly events: ReturnType<typeof createEvents>;
  readonly confirmations: ReturnType<typeof createConfirmations>;
};
