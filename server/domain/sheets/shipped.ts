import herbaceousMistMat from '../../../seeds/targets/herbaceous-mist-mat.json' with { type: 'json' };
import poinsettia from '../../../seeds/targets/poinsettia.json' with { type: 'json' };
import bibliography from '../../../seeds/targets/sources.json' with { type: 'json' };
import starts from '../../../seeds/targets/starts.json' with { type: 'json' };
import type { Sheet } from '../../../shared/model/sheet.ts';
import { bibliographySchema, expandSheet, sheetSeedSchema, startSeedSchema } from './seed.ts';

const SEEDS: readonly unknown[] = [herbaceousMistMat, poinsettia];

let expanded: readonly Sheet[] | null = null;

/** The sheets that are shipped, expanded once. */
export function shippedSheets(): readonly Sheet[] {
  expanded ??= expandAll();
  return expanded;
}

function expandAll(): readonly Sheet[] {
  const read = startSeedSchema.array().parse(starts);
  const byId = new Map(read.map((start) => [start.id, start]));
  const keys = bibliographySchema.parse(bibliography);
  return SEEDS.map((seed) => expandSheet(sheetSeedSchema.parse(seed), byId, keys));
}
