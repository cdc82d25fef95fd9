/** The doors of the daemon: interfaces only, by who stands behind them. */
export type {
  Exchange,
  ExportAnswer,
  ExportChunk,
  ExportQuery,
  ImportOrder,
} from './domain/exchange/door.ts';
export type * from './ports/access.ts';
export type * from './ports/access-events.ts';
export type * from './ports/check-desk.ts';
export type * from './ports/checks.ts';
export type * from './ports/clock.ts';
export type * from './ports/daemon.ts';
export type * from './ports/devices.ts';
export type * from './ports/edge.ts';
export type * from './ports/hearing.ts';
export type * from './ports/keys.ts';

export type * from './ports/lifecycle.ts';
export type * from './ports/lifecycle-desks.ts';
export type * from './ports/outbox.ts';
export type * from './ports/passkeys.ts';
export type * from './ports/path-tests.ts';
export type * from './ports/people.ts';
export type * from './ports/status.ts';
export type * from './ports/store.ts';
