import type { AccessEventKind } from '../../../shared/model/people/access-event.ts';

/** Something that happened, before it is kept. */
export type NewAccessEvent = {
  readonly kind: AccessEventKind;
  readonly who: string | null;
  readonly whom?: string;
  readonly address: string | null;
  readonly note?: string;
};

/** A row of the record: one event, or several of one kind within a minute. Times in ms since epoch. */
export type KeptAccessEvent = {
  readonly id: number;
  readonly kind: AccessEventKind;
  readonly firstMs: number;
  readonly atMs: number;
  readonly count: number;
  readonly who: string | null;
  readonly whom: string | null;
  readonly address: string | null;
  readonly note: string | null;
};

export type AccessEventLog = {
  /** Keeps all of them in one transaction, and deletes the oldest beyond the limit of each class. */
  addAccessEvents(events: readonly Omit<KeptAccessEvent, 'id'>[]): void;
  /** Newest first. */
  accessEvents(query: { readonly limit: number; readonly beforeId: number | null }): KeptAccessEvent[];
};
