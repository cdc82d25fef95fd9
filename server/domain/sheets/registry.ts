import type { Sheet } from '../../../shared/model/sheet.ts';
import { shippedSheets } from './shipped.ts';

/** Sheets to choose from, shipped and own. */
export type SheetRegistry = {
  /** the newest version of each, shipped ones first, by name */
  readonly list: () => readonly Sheet[];
  /** that version of a sheet, its newest unless one is named; null: there is none */
  readonly sheetOf: (id: string, version?: number) => Sheet | null;
};

/**
 * Shipped sheets, and the own ones of the record.
 * @param own every kept version of every own sheet, in any order
 * @param isRemoved whether an own sheet was deleted: it is listed no more, and still found
 * @example sheetRegistry([]).sheetOf('poinsettia')?.stages.length // 4
 */
export function sheetRegistry(
  own: readonly Sheet[],
  isRemoved: (id: string) => boolean = () => false,
): SheetRegistry {
  let known: readonly Sheet[] | null = null;
  // a house without batches need not expand what is shipped
  const all = () => (known ??= [...shippedSheets(), ...own]);
  const sheetOf = (id: string, version?: number) =>
    all()
      .filter((sheet) => sheet.id === id && (version === undefined || sheet.version === version))
      .reduce<Sheet | null>(
        (newest, sheet) => (newest && newest.version > sheet.version ? newest : sheet),
        null,
      );
  const list = () =>
    [...new Set(all().map(({ id }) => id))]
      .filter((id) => !isRemoved(id))
      .map((id) => sheetOf(id) as Sheet)
      .sort((a, b) => Number(a.own) - Number(b.own) || a.name.localeCompare(b.name, 'en'));
  return { list, sheetOf };
}
