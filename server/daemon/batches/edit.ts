import {
  type BatchBody,
  type BatchDetails,
  MAX_BATCHES,
  MAX_ENTRIES,
  NO_DETAILS,
  type SheetFrom,
} from '../../../shared/model/cuttings/batch.ts';
import { endOf, type KeptBatch } from '../../domain/batches/batch.ts';
import type { BatchChange, BatchOrder } from '../../ports.ts';
import {
  badRequest,
  type EntryContext,
  isoOf,
  kept,
  placesOf,
  requireBatch,
  requireLivePlace,
  requirePast,
} from './context.ts';

/** Begins a batch. @param alsoKeep written in the same commit @returns its id @throws Fault `bad-request`, `store-failed` */
export function addBatch(
  order: BatchOrder,
  context: EntryContext,
  alsoKeep: (id: number) => void = () => undefined,
): number {
  const { store } = context;
  const { placeId, crop, count, sheetId, stuckMs } = order;
  requireLivePlace(placeId, context);
  requirePast('stuckAt', stuckMs, context);
  const version = newestVersion(sheetId, context);
  const details = detailsOf(NO_DETAILS, order.details, context);
  requireInOrder(details, stuckMs);
  return kept([placeId], context, () => {
    makeRoom(context);
    const entered = store.batches.nextEntered();
    const sheets = [{ sheetId, version, fromMs: stuckMs, entered }];
    const body: BatchBody = { crop, count, sheets, ...details };
    const id = store.batches.add({ placeId, stage: 'sticking', stuckMs, entered, body });
    alsoKeep(id);
    return id;
  });
}

/** Of too many, the one that was deleted first goes. @throws Fault `bad-request` where none was */
function makeRoom({ store }: EntryContext): void {
  if (store.batches.count() < MAX_BATCHES) return;
  const deleted = store.batches.all().filter(({ deletedMs }) => deletedMs !== null);
  const [first] = deleted.toSorted((a, b) => (a.deletedMs ?? 0) - (b.deletedMs ?? 0));
  if (!first) throw badRequest('body', `There are ${MAX_BATCHES} batches already: delete one first.`);
  store.batches.remove(first.id);
}

function newestVersion(sheetId: string, { sheetOf }: EntryContext): number {
  const sheet = sheetOf(sheetId);
  if (sheet) return sheet.version;
  throw badRequest('sheetId', `There is no target sheet "${sheetId}"; GET /api/v1/sheets lists them.`);
}

function detailsOf(before: BatchDetails, given: BatchOrder['details'], context: EntryContext): BatchDetails {
  for (const [field, atMs] of [
    ['cutAt', given.cutAtMs],
    ['boxOpenedAt', given.boxOpenedAtMs],
  ] as const)
    if (typeof atMs === 'number') requirePast(field, atMs, context);
  if (typeof given.boxPlaceId === 'string') requireLivePlace(given.boxPlaceId, context, 'boxPlaceId');
  const stated = Object.entries(given).filter(([, value]) => value !== undefined);
  return { ...before, ...Object.fromEntries(stated) };
}

type Held = Pick<BatchDetails, 'cutAtMs' | 'boxOpenedAtMs'>;

/**
 * Cuttings are cut, then taken from their box, then stuck; what was kept otherwise before may stay so.
 * @param before the batch as it was kept
 * @throws Fault `bad-request`
 */
function requireInOrder({ cutAtMs, boxOpenedAtMs }: Held, stuckMs: number, before?: KeptBatch): void {
  const isAsBefore =
    before?.stuckMs === stuckMs &&
    before.body.cutAtMs === cutAtMs &&
    before.body.boxOpenedAtMs === boxOpenedAtMs;
  if (isAsBefore) return;
  if (cutAtMs !== null && cutAtMs > stuckMs)
    throw badRequest('cutAt', `"cutAt" must not lie after the batch was stuck, ${isoOf(stuckMs)}.`);
  if (boxOpenedAtMs === null) return;
  if (boxOpenedAtMs > stuckMs)
    throw badRequest(
      'boxOpenedAt',
      `"boxOpenedAt" must not lie after the batch was stuck, ${isoOf(stuckMs)}.`,
    );
  if (cutAtMs !== null && cutAtMs > boxOpenedAtMs)
    throw badRequest('boxOpenedAt', `"boxOpenedAt" must not lie before the cut, ${isoOf(cutAtMs)}.`);
}

/** Changes what is known of a batch. @throws Fault `not-found`, `bad-request`, `store-failed` */
export function changeBatch(id: string, change: BatchChange, context: EntryContext): void {
  const { store } = context;
  const batch = requireBatch(id, context);
  const { crop = batch.body.crop, count = batch.body.count, stuckMs = batch.stuckMs } = change;
  requireCounted(count, batch);
  if (stuckMs !== batch.stuckMs) requireBeforeAll(stuckMs, batch, context);
  const details = detailsOf(batch.body, change.details, context);
  requireInOrder(details, stuckMs, batch);
  const closed = closing(change, { ...batch, stuckMs }, context);
  const sheet = sheetGiven(change, { ...batch, stuckMs }, context);
  kept(placesOf(batch), context, () => {
    const entered = store.batches.nextEntered();
    const sheets = sheetsWith(batch, { stuckMs, given: sheet && { ...sheet, entered } });
    store.batches.update({
      id: batch.id,
      body: { ...batch.body, ...details, crop, count, sheets },
      stuckMs,
      closed: closed === 'as before' ? batch.closed : closed && { ...closed, entered },
      deletedMs: null,
    });
  });
}

function requireCounted(count: number, batch: KeptBatch): void {
  const most = Math.max(0, ...batch.counts.map((entry) => entry.count.looked));
  if (count >= most) return;
  throw badRequest('count', `"count" must not be less than ${most}: as many were looked at.`);
}

/** @throws Fault `bad-request` unless a batch was stuck before whatever else was entered of it */
function requireBeforeAll(stuckMs: number, batch: KeptBatch, context: EntryContext): void {
  requirePast('stuckAt', stuckMs, context);
  const [, ...laterStages] = batch.stages;
  const [, ...moves] = batch.stays;
  const [, ...laterSheets] = batch.body.sheets;
  const starts = [...laterStages, ...moves, ...laterSheets].map(({ fromMs }) => fromMs);
  const counted = batch.counts.map(({ atMs }) => atMs + 1);
  const firstMs = Math.min(...starts, ...counted, endOf(batch));
  if (stuckMs < firstMs) return;
  const message = `"stuckAt" must lie before ${isoOf(firstMs)}, when the first stage, move, count or sheet after it was entered.`;
  throw badRequest('stuckAt', message);
}

type Closing = { readonly atMs: number } | null | 'as before';

function closing({ state, closedMs }: BatchChange, batch: KeptBatch, context: EntryContext): Closing {
  const isClosed = state === 'closed' || (state === undefined && batch.closed !== null);
  if (!isClosed) {
    if (closedMs !== undefined) throw badRequest('closedAt', '"closedAt" goes with "state": "closed" only.');
    return state === 'open' ? null : 'as before';
  }
  if (closedMs === undefined && batch.closed !== null) return 'as before';
  const atMs = closedMs ?? context.clock.nowMs();
  requirePast('closedAt', atMs, context);
  const entries = [...batch.stages, ...batch.stays].map(({ fromMs }) => fromMs);
  const lastMs = Math.max(...entries, ...batch.counts.map((count) => count.atMs));
  if (atMs >= lastMs) return { atMs };
  throw badRequest(
    'closedAt',
    `"closedAt" must not lie before ${isoOf(lastMs)}, when its last entry holds from.`,
  );
}

type SheetGiven = Omit<SheetFrom, 'entered'> | null;

function sheetGiven(change: BatchChange, batch: KeptBatch, context: EntryContext): SheetGiven {
  const { sheetId, sheetFromMs } = change;
  if (sheetId === undefined) {
    if (sheetFromMs === undefined) return null;
    throw badRequest('sheetFrom', '"sheetFrom" goes with "sheetId" only.');
  }
  const fromMs = Math.max(sheetFromMs ?? context.clock.nowMs(), batch.stuckMs);
  requirePast('sheetFrom', fromMs, context);
  return { sheetId, version: newestVersion(sheetId, context), fromMs };
}

/** The sheets of a batch, the first from when it was stuck; one that is given replaces those from its time on. */
function sheetsWith(
  { body }: KeptBatch,
  { stuckMs, given }: { readonly stuckMs: number; readonly given: SheetFrom | null },
): SheetFrom[] {
  const before = body.sheets.map((sheet, i) => (i === 0 ? { ...sheet, fromMs: stuckMs } : sheet));
  if (given === null) return before;
  const sheets = [...before.filter(({ fromMs }) => fromMs < given.fromMs), given];
  if (sheets.length <= MAX_ENTRIES) return sheets;
  throw badRequest('sheetId', `A batch may be given at most ${MAX_ENTRIES} sheets.`);
}

/** @throws Fault `not-found`, `store-failed` */
export function removeBatch(id: string, context: EntryContext): void {
  const batch = requireBatch(id, context);
  kept(placesOf(batch), context, () =>
    context.store.batches.update({ ...batch, deletedMs: context.clock.nowMs() }),
  );
}
