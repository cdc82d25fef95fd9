import type { KeptBatch } from '../../../domain/batches/batch.ts';
import { batchLike } from '../../../domain/exchange/identity.ts';
import { type EntryContext, isoOf } from '../context.ts';
import { refusal } from './refusal.ts';

type Named = {
  readonly batchCrop?: string | null | undefined;
  readonly batchStuckAt?: number | null | undefined;
  readonly batchPlace?: string | null | undefined;
};

/**
 * The batch that a line of an export names.
 * @returns null where it names none
 * @throws Fault `bad-request` where it names one in part
 */
export function namedBatch(line: Named, { store }: EntryContext): KeptBatch | 'unknown' | null {
  const { batchCrop: crop = null, batchStuckAt: stuckMs = null, batchPlace: placeId = null } = line;
  if (crop === null && stuckMs === null && placeId === null) return null;
  if (crop === null || stuckMs === null || placeId === null)
    throw refusal('A batch is named by "batchCrop", "batchStuckAt" and "batchPlace" together.');
  return batchLike(store.batches.all(), { crop, stuckMs, placeId }) ?? 'unknown';
}

/** The batch that a line names, in words. */
export function namedWords({ batchCrop, batchStuckAt }: Named): string {
  return `${batchCrop ?? '?'}, stuck ${batchStuckAt == null ? '?' : isoOf(batchStuckAt)}`;
}
