import { MAX_FUTURE_MS, RELATIVE_TIME_BELOW_S } from '../../../firmware-contracts/v1/limits.ts';
import { Fault } from '../../../shared/faults.ts';
import { endOf, type KeptBatch } from '../../domain/batches/batch.ts';
import type { QueryContext } from '../readout/present.ts';
import { commit, type OrderContext } from '../services/orders.ts';
import { withTargets } from '../world/targets-timeline.ts';

/** What entering something needs; of the answers it needs nothing. */
export type EntryContext = Pick<OrderContext, 'world' | 'store' | 'clock' | 'sheetOf' | 'placeChanged'>;
export type BatchContext = QueryContext & OrderContext;

/** Everybody else has a turn. */
export function aTurn(): Promise<void> {
  return new Promise((resolve) => setImmediate(resolve));
}

/** As for readings: the earliest time they may have. */
const EARLIEST_MS = RELATIVE_TIME_BELOW_S * 1_000;

export function badRequest(field: string, message: string): Fault {
  return new Fault({ code: 'bad-request', message, details: { field } });
}

/** True of a batch of the demo's invented growers: nothing of theirs is counted among what is real, nor the other way round. */
export function isOfDemo({ stays }: KeptBatch, { world }: Pick<EntryContext, 'world'>): boolean {
  return stays.some(({ placeId }) => placeId !== null && world.places.get(placeId)?.invented === true);
}

/** @throws Fault `not-found`, for one that was deleted too */
export function requireBatch(id: string, { store }: EntryContext): KeptBatch {
  const batch = keptBatch(id, store);
  if (batch && batch.deletedMs === null) return batch;
  throw new Fault({ code: 'not-found', message: `There is no batch ${id}; GET /api/v1/batches lists them.` });
}

/** A batch, deleted ones too, or null. */
export function keptBatch(id: string, store: EntryContext['store']): KeptBatch | null {
  return /^\d{1,15}$/.test(id) ? store.batches.get(Number(id)) : null;
}

/** @throws Fault `bad-request` unless a time lies in the past or now, give or take how far clocks may differ */
export function requirePast(field: string, atMs: number, { clock }: EntryContext): void {
  if (atMs >= EARLIEST_MS && atMs <= clock.nowMs() + MAX_FUTURE_MS) return;
  throw badRequest(field, `"${field}" must lie between 4 July 1978 and now.`);
}

/** @throws Fault `bad-request` unless a time lies within the life of a batch, its start and its end too */
export function requireWithin(field: string, atMs: number, batch: KeptBatch): void {
  if (atMs < batch.stuckMs)
    throw badRequest(field, `"${field}" must not lie before the batch was stuck, ${isoOf(batch.stuckMs)}.`);
  if (atMs > endOf(batch))
    throw badRequest(field, `"${field}" must not lie after the batch was closed, ${isoOf(endOf(batch))}.`);
}

/** @throws Fault `bad-request` where there is no such place */
export function requireLivePlace(placeId: string, { world }: EntryContext, field = 'placeId'): void {
  if (world.places.has(placeId)) return;
  throw badRequest(field, `There is no place "${placeId}"; GET /api/v1/places lists them.`);
}

/** The places at which a batch ever stood. */
export function placesOf({ stays }: Pick<KeptBatch, 'stays'>): string[] {
  return stays.flatMap(({ placeId }) => placeId ?? []);
}

/**
 * Keeps an edit in one transaction, with the targets of the places it bears on; pages are notified of those after.
 * @throws Fault `store-failed`
 */
export function kept<T>(placeIds: Iterable<string>, context: EntryContext, work: () => T): T {
  const { result, changed } = commit(context, () => withTargets(placeIds, context, work));
  for (const placeId of changed) if (context.world.places.has(placeId)) context.placeChanged(placeId);
  return result;
}

export function isoOf(ms: number): string {
  return new Date(ms).toISOString();
}
