import { Fault } from '../../../shared/faults.ts';
import type { Batch } from '../../../shared/wire/cuttings/batches.ts';
import type { KeptBatch } from '../../domain/batches/batch.ts';
import { strikeOf } from '../../domain/batches/strike.ts';
import { reportCsv } from '../../domain/exchange/write/report-out.ts';
import type { BatchService, SheetService } from '../../ports.ts';
import { compare, compareDays } from './compare.ts';
import { type BatchContext, kept, keptBatch, placesOf, requireBatch } from './context.ts';
import { demandOf } from './demand.ts';
import { addBatch, changeBatch, removeBatch } from './edit.ts';
import {
  addCount,
  addStage,
  moveBatch,
  removeCount,
  removeMove,
  removeStage,
  setLeading,
} from './entries.ts';
import { importCuttings } from './exchange/import.ts';
import { batchHolding } from './holding.ts';
import { createPreparations } from './preparations.ts';
import { reportOf } from './report.ts';
import { rootingOf } from './rooting.ts';
import { exposuresOf, thermalTimeOfBatch } from './sums.ts';
import { leadingView, viewer } from './view.ts';
import { batchWeaning, setWeaning } from './weaning.ts';

/** Batches of cuttings: what was entered of them, the bands they set, what they were exposed to. */
export function createBatchService(
  context: BatchContext & { readonly sheets: Pick<SheetService, 'add' | 'list' | 'readAgain'> },
): BatchService {
  const get = (id: string): Batch => viewer(context)(requireBatch(id, context));
  const after = (id: string, edit: () => void): Batch => {
    edit();
    return get(id);
  };
  return {
    preparations: createPreparations(context),
    list: (query) => listed(query, context).map(viewer(context)),
    get,
    add: (order) => get(String(addBatch(order, context))),
    change: (id, change) => after(id, () => changeBatch(id, change, context)),
    remove: (id) => removeBatch(id, context),
    restore: (id) => after(id, () => restore(id, context)),
    addStage: (id, order) => after(id, () => addStage(id, order, context)),
    removeStage: (id, n) => removeStage(id, n, context),
    move: (id, order) => after(id, () => moveBatch(id, order, context)),
    removeMove: (id, n) => removeMove(id, n, context),
    addCount: (id, order) => after(id, () => addCount(id, order, context)),
    removeCount: (id, n) => removeCount(id, n, context),
    strike(id) {
      const strike = strikeOf(requireBatch(id, context));
      if (strike) return strike;
      throw new Fault({ code: 'not-found', message: `Batch ${id} was not counted yet.` });
    },
    exposures: (id) => exposuresOf(requireBatch(id, context), context),
    thermalTime: (id, limits) => thermalTimeOfBatch(requireBatch(id, context), limits, context),
    holding: (id) => batchHolding(requireBatch(id, context), context),
    weaning: (id) => batchWeaning(requireBatch(id, context), context),
    setWeaning(id, plan) {
      setWeaning(id, plan, context);
      return batchWeaning(requireBatch(id, context), context);
    },
    rooting: (id) => rootingOf(requireBatch(id, context), context),
    demand: async (id) => demandOf(requireBatch(id, context), context),
    report: async (id) => reportOf(requireBatch(id, context), context),
    reportCsv: async (id) => reportCsv(await reportOf(requireBatch(id, context), context)),
    compare: (query) => compare(query, context),
    compareDays: async (query) => compareDays(query, context),
    importFrom: (items) => importCuttings(items, context),
    leading: (placeId) => leadingView(placeId, context),
    setLeading(placeId, choice) {
      setLeading(placeId, choice, context);
      return leadingView(placeId, context);
    },
  };
}

function listed(
  { placeId, state }: Parameters<BatchService['list']>[0],
  { store }: BatchContext,
): KeptBatch[] {
  const wanted = (batch: KeptBatch) => {
    if ((batch.deletedMs !== null) !== (state === 'deleted')) return false;
    if (placeId !== null && batch.stays.at(-1)?.placeId !== placeId) return false;
    return state === null || state === 'deleted' || (batch.closed === null) === (state === 'open');
  };
  return store.batches.all().filter(wanted).reverse();
}

/** Undoes a deletion; of a batch that was not deleted nothing changes. */
function restore(id: string, context: BatchContext): void {
  const batch = keptBatch(id, context.store);
  if (!batch) requireBatch(id, context);
  else kept(placesOf(batch), context, () => context.store.batches.update({ ...batch, deletedMs: null }));
}
