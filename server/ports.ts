/** The ports of the daemon: interfaces only, by what is behind them. */
export type {
  Exchange,
  ExportAnswer,
  ExportChunk,
  ExportQuery,
  ImportOrder,
} from './domain/exchange/exchange-service.ts';
export type * from './ports/batch-service.ts';
export type * from './ports/check-service.ts';
export type * from './ports/clock.ts';
export type * from './ports/columns.ts';
export type * from './ports/cuttings-exchange.ts';
export type * from './ports/daemon.ts';
export type * from './ports/diary-service.ts';
export type * from './ports/edge.ts';
export type * from './ports/foreign-messages.ts';
export type * from './ports/lifecycle-services.ts';
export type * from './ports/measures.ts';
export type * from './ports/night-pdf.ts';
export type * from './ports/preparation-service.ts';
export type * from './ports/record/access.ts';
export type * from './ports/record/access-events.ts';
export type * from './ports/record/batches.ts';
export type * from './ports/record/checks.ts';
export type * from './ports/record/devices.ts';
export type * from './ports/record/diary.ts';
export type * from './ports/record/keys.ts';
export type * from './ports/record/lifecycle.ts';
export type * from './ports/record/outbox.ts';
export type * from './ports/record/passkeys.ts';
export type * from './ports/record/path-tests.ts';
export type * from './ports/record/people.ts';
export type * from './ports/record/preparations.ts';
export type * from './ports/record/sheets.ts';
export type * from './ports/record/store.ts';
export type * from './ports/sheet-service.ts';
export type * from './ports/status.ts';
