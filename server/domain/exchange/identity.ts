import type { KeptBatch } from '../batches/batch.ts';

/** What a batch is known by beyond the record that numbered it: its crop, when it was stuck, and where. */
export type BatchIdentity = { readonly crop: string; readonly stuckMs: number; readonly placeId: string };

/** The batch of that crop that was stuck there and then; none that was deleted. */
export function batchLike(
  batches: readonly KeptBatch[],
  { crop, stuckMs, placeId }: BatchIdentity,
): KeptBatch | undefined {
  return batches.find(
    (one) =>
      one.deletedMs === null &&
      one.body.crop === crop &&
      one.stuckMs === stuckMs &&
      one.stays[0]?.placeId === placeId,
  );
}

/** The same as an export writes it beside the number, which is that of one record alone; null where there is no batch. */
export function identityOut(batch: KeptBatch | null) {
  return {
    batchCrop: batch?.body.crop ?? null,
    batchStuckAt: batch === null ? null : new Date(batch.stuckMs).toISOString(),
    batchPlace: batch?.stays[0]?.placeId ?? null,
  };
}
