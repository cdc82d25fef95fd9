import { Fault } from '../../../shared/faults.ts';
import { type Count, MAX_ENTRIES } from '../../../shared/model/cuttings/batch.ts';
import type { StageId } from '../../../shared/model/cuttings/sheet.ts';
import { entryAt, type KeptBatch, type LeadingChoice } from '../../domain/batches/batch.ts';
import { staysAt } from '../../domain/batches/leading.ts';
import { requirePlace } from '../readout/queries.ts';
import {
  badRequest,
  type EntryContext,
  kept,
  keptBatch,
  placesOf,
  requireBatch,
  requireLivePlace,
  requirePast,
  requireWithin,
} from './context.ts';

/** A stage holds from a time on; one from the same time is replaced. @throws Fault */
export function addStage(
  id: string,
  { stage, fromMs }: { readonly stage: StageId; readonly fromMs: number },
  context: EntryContext,
): void {
  const batch = requireBatch(id, context);
  requirePast('from', fromMs, context);
  requireWithin('from', fromMs, batch);
  const n = batch.stages.find((one) => one.fromMs === fromMs)?.n ?? nextOf(batch.stages, 'stage');
  kept(placesOf(batch), context, () => {
    const entered = context.store.batches.nextEntered();
    context.store.batches.putStage({ batchId: batch.id, n, stage, fromMs, entered });
  });
}

/** @throws Fault `not-found`; `bad-request` for the first, without which a batch has no stage */
export function removeStage(id: string, n: number, context: EntryContext): void {
  const batch = requireBatch(id, context);
  requireEntry(batch.stages, n, 'stage');
  if (batch.stages[0]?.n === n) {
    const message = 'The first stage holds from when the batch was stuck: enter another from the same time.';
    throw badRequest('n', message);
  }
  kept(placesOf(batch), context, () => context.store.batches.removeStage({ batchId: batch.id, n }));
}

/** A batch stands at another place from a time on; a move at the same time is replaced. @throws Fault */
export function moveBatch(
  id: string,
  { placeId, fromMs }: { readonly placeId: string; readonly fromMs: number },
  context: EntryContext,
): void {
  const batch = requireBatch(id, context);
  requireLivePlace(placeId, context);
  requirePast('from', fromMs, context);
  requireWithin('from', fromMs, batch);
  if (fromMs === batch.stuckMs) throw badRequest('from', '"from" must lie after the batch was stuck.');
  if (entryAt(batch.stays, fromMs - 1)?.placeId === placeId)
    throw badRequest('placeId', `The batch stands at "${placeId}" already at that time.`);
  const n = batch.stays.find((one) => one.fromMs === fromMs)?.n ?? nextOf(batch.stays, 'move');
  kept([...placesOf(batch), placeId], context, () => {
    const entered = context.store.batches.nextEntered();
    context.store.batches.putMove({ batchId: batch.id, n, placeId, fromMs, entered });
  });
}

/** @throws Fault `not-found`; `bad-request` for where it was stuck */
export function removeMove(id: string, n: number, context: EntryContext): void {
  const batch = requireBatch(id, context);
  if (n === 0) throw badRequest('n', 'Where the batch was stuck is no move.');
  requireEntry(batch.stays, n, 'move');
  kept(placesOf(batch), context, () => context.store.batches.removeMove({ batchId: batch.id, n }));
}

/** @throws Fault `not-found`, `bad-request`, `store-failed` */
export function addCount(
  id: string,
  { atMs, count }: { readonly atMs: number; readonly count: Count },
  context: EntryContext,
): void {
  const batch = requireBatch(id, context);
  requirePast('at', atMs, context);
  requireWithin('at', atMs, batch);
  const all = batch.body.count;
  if (count.looked > all)
    throw badRequest('looked', `"looked" must not be more than ${all}, the whole batch.`);
  const n = nextOf(batch.counts, 'count');
  kept([], context, () => context.store.batches.putCount({ batchId: batch.id, n, atMs, count }));
}

/** @throws Fault `not-found`, `store-failed` */
export function removeCount(id: string, n: number, context: EntryContext): void {
  const batch = requireBatch(id, context);
  requireEntry(batch.counts, n, 'count');
  kept([], context, () => context.store.batches.removeCount({ batchId: batch.id, n }));
}

/** Chooses which batch leads at a place, or that none does. @throws Fault */
export function setLeading(
  placeId: string,
  choice: { readonly batchId: string | null; readonly fromMs: number | null },
  context: EntryContext,
): void {
  const { store, clock } = context;
  requirePlace(context.world, placeId);
  const fromMs = choice.fromMs ?? clock.nowMs();
  requirePast('from', fromMs, context);
  const batch = choice.batchId === null ? null : keptBatch(choice.batchId, store);
  if (choice.batchId !== null) requireStanding(batch, { placeId, fromMs });
  if (store.batches.choices(placeId).length >= MAX_CHOICES)
    throw badRequest('batchId', `At one place the leading batch may be chosen ${MAX_CHOICES} times.`);
  kept([placeId], context, () => {
    const chosen: LeadingChoice = {
      batchId: batch?.id ?? null,
      fromMs,
      entered: store.batches.nextEntered(),
    };
    store.batches.choose(placeId, chosen);
  });
}

/** Most choices of a leading batch that are kept of a place. */
const MAX_CHOICES = 5_000;

function requireStanding(
  batch: KeptBatch | null,
  { placeId, fromMs }: { readonly placeId: string; readonly fromMs: number },
): void {
  if (batch && staysAt(placeId, [batch]).some(({ toMs }) => toMs > fromMs)) return;
  throw badRequest('batchId', `"batchId" must name an open batch that stands at "${placeId}" at that time.`);
}

function nextOf(entries: readonly { readonly n: number }[], what: string): number {
  if (entries.length < MAX_ENTRIES) return Math.max(0, ...entries.map(({ n }) => n)) + 1;
  throw badRequest(
    'body',
    `A batch may have at most ${MAX_ENTRIES} entries of a kind: there are as many of ${what}.`,
  );
}

function requireEntry(entries: readonly { readonly n: number }[], n: number, what: string): void {
  if (entries.some((entry) => entry.n === n)) return;
  throw new Fault({
    code: 'not-found',
    message: `The batch has no ${what} ${n}; GET /api/v1/batches/{id} lists them.`,
  });
}
