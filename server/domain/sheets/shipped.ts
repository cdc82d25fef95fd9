import bibliography from '../../../seeds/targets/sources.json' with { type: 'json' };
import type { Sheet } from '../../../shared/model/cuttings/sheet.ts';
import { bibliographySchema, sheetSeedSchema } from '../../../shared/model/cuttings/sheet-seed.ts';
import { expandSheet } from './seed.ts';
import { SHEET_SEEDS } from './seeds.ts';
import { sheetStarts } from './starts.ts';

let expanded: readonly Sheet[] | null = null;

/** The sheets that are shipped, expanded once. */
export function shippedSheets(): readonly Sheet[] {
  expanded ??= expandAll();
  return expanded;
}

function expandAll(): readonly Sheet[] {
  const starts = sheetStarts();
  const keys = bibliographySchema.parse(bibliography);
  return SHEET_SEEDS.map((seed) => expandSheet(sheetSeedSchema.parse(seed), starts, keys));
}
