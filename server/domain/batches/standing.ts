import type { StandingBatch } from '../harm/drying.ts';
import type { KeptBatch } from './batch.ts';
import { staysAt } from './leading.ts';

/** Names of the only crop of which minutes without mist were measured. @source [ALEM19] */
const POINSETTIA: readonly string[] = ['poinsettia', 'euphorbia pulcherrima'];

/**
 * The open batches that stand at a place at an instant, as far as mist matters to them.
 * @param batches those that ever stood there
 * @param at ms since epoch
 */
export function batchesStanding(
  batches: readonly KeptBatch[],
  { placeId, nowMs }: { readonly placeId: string; readonly nowMs: number },
): StandingBatch[] {
  return staysAt(placeId, batches)
    .filter(({ fromMs, toMs }) => fromMs <= nowMs && nowMs < toMs)
    .map(({ batch }) => ({
      stuckAtMs: batch.stuckMs,
      crop: batch.body.crop,
      isPoinsettia: isPoinsettia(batch.body.crop),
    }));
}

/** Whether minutes without mist were measured for a crop, as somebody wrote it. */
export function isPoinsettia(crop: string): boolean {
  return POINSETTIA.includes(crop.trim().toLowerCase());
}
