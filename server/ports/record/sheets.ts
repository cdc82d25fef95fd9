import type { Sheet } from '../../../shared/model/cuttings/sheet.ts';

/** One version of a sheet made here; `removedMs` is when the sheet was deleted, ms since epoch. */
export type OwnSheet = {
  readonly sheet: Sheet;
  readonly madeMs: number;
  readonly removedMs: number | null;
};

/** Target sheets made here, every version of them, as they are kept. */
export type OwnSheets = {
  /** by id and version, deleted ones too: a batch may hold one of their versions */
  all(): OwnSheet[];
  add(version: Omit<OwnSheet, 'removedMs'>): void;
  /** Deletes every version of a sheet, or takes that back with null. @returns false when there is no such sheet */
  setRemoved(id: string, removedMs: number | null): boolean;
};
