import type { Sheet, SheetContent } from '../../shared/model/cuttings/sheet.ts';

/** Target sheets to choose from, and the own ones among them. */
export type SheetService = {
  /** the newest version of each that was not deleted, shipped ones first */
  list(): readonly Sheet[];
  /** a version of a sheet, its newest unless one is named; deleted ones are found too; null: there is none */
  sheetOf(id: string, version?: number): Sheet | null;
  /** @throws Fault `not-found` */
  sheet(id: string, version?: number): Sheet;
  /** Reads the own sheets again, after a change of theirs was taken back. */
  readAgain(): void;
  /** Makes an own sheet. @throws Fault `bad-request` when there are too many */
  add(content: SheetContent): Sheet;
  /** Makes the next version of an own sheet. @throws Fault `not-found`, `bad-request` for a shipped one */
  change(id: string, content: SheetContent): Sheet;
  /** Deletes an own sheet. @throws Fault `not-found`, `bad-request` for a shipped one and for one that a batch uses */
  remove(id: string): void;
  /** Takes that back. @throws Fault `not-found` */
  restore(id: string): Sheet;
};
