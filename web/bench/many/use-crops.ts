import { batchesOf } from '../../batches/batch-api.ts';
import { useLoaded } from '../../common/hooks.ts';
import { may } from '../../settings/access.ts';
import type { Crops } from './filter.ts';

/** What stands at each place now, by its open batches; asked for only where there is something to choose from. */
export function useCrops(isWanted: boolean): Crops {
  const { value } = useLoaded(`crops ${isWanted}`, async () =>
    isWanted && may('listBatches') ? batchesOf({ state: 'open' }) : [],
  );
  const crops: Record<string, string[]> = {};
  for (const { placeId, crop } of value ?? []) {
    if (placeId !== null) crops[placeId] = [...(crops[placeId] ?? []), crop];
  }
  return crops;
}
