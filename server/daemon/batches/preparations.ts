import { Fault } from '../../../shared/faults.ts';
import {
  MAX_PREPARATIONS,
  NO_PREPARATION_DETAILS,
  type PreparationBody,
} from '../../../shared/model/cuttings/preparation.ts';
import type { Preparation } from '../../../shared/wire/cuttings/preparations.ts';
import {
  batchDetailsOf,
  daysBetween,
  KNOWN_STEPS,
  localDay,
  stepsOf,
} from '../../domain/batches/preparation.ts';
import type {
  KeptPreparation,
  PreparationChange,
  PreparationOrder,
  PreparationService,
} from '../../ports.ts';
import { commit } from '../services/orders.ts';
import {
  type BatchContext,
  badRequest,
  type EntryContext,
  isoOf,
  requireBatch,
  requireLivePlace,
  requirePast,
} from './context.ts';
import { addBatch } from './edit.ts';
import { viewer } from './view.ts';

/** Batches that are planned, and what is done before they are stuck. */
export function createPreparations(context: BatchContext): PreparationService {
  const { store } = context;
  const get = (id: string) => viewOf(requirePreparation(id, context), context);
  const saved = (preparation: KeptPreparation): Preparation => {
    commit(context, () => store.preparations.update(preparation));
    return viewOf(preparation, context);
  };
  return {
    known: () => KNOWN_STEPS,
    list: (state) => listed(state, context),
    get,
    add: (order) => get(String(addPreparation(order, context))),
    change: (id, change) => {
      const kept = requirePreparation(id, context);
      return saved({ ...kept, body: changed(kept.body, change, context) });
    },
    remove(id) {
      saved({ ...requirePreparation(id, context), deletedMs: context.clock.nowMs() });
    },
    restore: (id) => saved({ ...requireKept(id, context), deletedMs: null }),
    tick: (id, stepId, doneMs) => saved(ticked(id, { stepId, doneMs }, context)),
    stick: (id, stuckMs) => stick(id, stuckMs, context),
  };
}

function requireKept(id: string, { store }: EntryContext): KeptPreparation {
  const kept = /^\d{1,15}$/.test(id) ? store.preparations.get(Number(id)) : null;
  if (kept) return kept;
  throw new Fault({
    code: 'not-found',
    message: `There is no plan ${id}; GET /api/v1/preparations lists them.`,
  });
}

function requirePreparation(id: string, context: EntryContext): KeptPreparation {
  const kept = requireKept(id, context);
  if (kept.deletedMs === null) return kept;
  throw new Fault({ code: 'not-found', message: `Plan ${id} was deleted; POST …/restore takes that back.` });
}

/** The batch a plan became, unless that was deleted since: then it is open again. */
function batchOf({ batchId }: KeptPreparation, { store }: BatchContext): number | null {
  const batch = batchId === null ? null : store.batches.get(batchId);
  return batch?.deletedMs === null ? batch.id : null;
}

function viewOf(kept: KeptPreparation, context: BatchContext): Preparation {
  const { id, body, deletedMs } = kept;
  const today = localDay(context.clock.nowMs(), context.timeZone);
  const batchId = batchOf(kept, context);
  return {
    ...body,
    id: String(id),
    state: batchId === null ? 'open' : 'stuck',
    batchId: batchId === null ? null : String(batchId),
    deletedAt: deletedMs === null ? null : isoOf(deletedMs),
    daysLeft: daysBetween(today, body.stickOn),
    steps: stepsOf(body, today),
  };
}

function listed(state: 'open' | 'stuck' | 'deleted' | null, context: BatchContext): Preparation[] {
  return context.store.preparations
    .all()
    .map((kept) => viewOf(kept, context))
    .filter((one) => {
      if ((one.deletedAt !== null) !== (state === 'deleted')) return false;
      return state === null || state === 'deleted' || one.state === state;
    })
    .sort((a, b) => a.stickOn.localeCompare(b.stickOn) || Number(a.id) - Number(b.id));
}

/** Begins a plan. @returns its id @throws Fault `bad-request`, `store-failed` */
export function addPreparation(
  { crop, stickOn, steps, details }: PreparationOrder,
  context: EntryContext,
): number {
  const { store } = context;
  const empty: PreparationBody = { crop, stickOn, ...NO_PREPARATION_DETAILS, steps: [] };
  const body = changed(empty, { steps, details }, context);
  return commit(context, () => {
    makeRoom(context);
    return store.preparations.add(body);
  });
}

/** Of too many, the one that was deleted first goes. @throws Fault `bad-request` where none was */
function makeRoom({ store }: EntryContext): void {
  if (store.preparations.count() < MAX_PREPARATIONS) return;
  const deleted = store.preparations.all().filter(({ deletedMs }) => deletedMs !== null);
  const [first] = deleted.toSorted((a, b) => (a.deletedMs ?? 0) - (b.deletedMs ?? 0));
  if (!first) throw badRequest('body', `There are ${MAX_PREPARATIONS} plans already: delete one first.`);
  store.preparations.remove(first.id);
}

function changed(
  body: PreparationBody,
  { crop = body.crop, stickOn = body.stickOn, steps, details }: PreparationChange,
  context: EntryContext,
): PreparationBody {
  if (typeof details.placeId === 'string') requireLivePlace(details.placeId, context);
  if (typeof details.sheetId === 'string' && !context.sheetOf(details.sheetId))
    throw badRequest(
      'sheetId',
      `There is no target sheet "${details.sheetId}"; GET /api/v1/sheets lists them.`,
    );
  const stated = Object.entries(details).filter(([, value]) => value !== undefined);
  return {
    ...body,
    ...Object.fromEntries(stated),
    crop,
    stickOn,
    steps: steps ? chosen(steps, body) : body.steps,
  };
}

/** What was done of a step stays done while it is among the chosen ones. */
function chosen(steps: PreparationOrder['steps'], before: PreparationBody): PreparationBody['steps'] {
  const ids = steps.map(({ id }) => id);
  const twice = ids.find((id, i) => ids.indexOf(id) !== i);
  if (twice !== undefined) throw badRequest('steps', `The step "${twice}" is there twice.`);
  const unknown = steps.find(({ id, name }) => name === null && !KNOWN_STEPS.some((one) => one.id === id));
  if (unknown)
    throw badRequest(
      'steps',
      `There is no step "${unknown.id}"; GET /api/v1/preparation-steps lists them. One of your own has a name.`,
    );
  return steps.map((step) => {
    return { ...step, doneMs: before.steps.find(({ id }) => id === step.id)?.doneMs ?? null };
  });
}

/** A plan in which a step was done at a time, ms since epoch, or with null not. @throws Fault */
export function ticked(
  id: string,
  { stepId, doneMs }: { readonly stepId: string; readonly doneMs: number | null },
  context: EntryContext,
): KeptPreparation {
  const kept = requirePreparation(id, context);
  if (!kept.body.steps.some((step) => step.id === stepId))
    throw new Fault({ code: 'not-found', message: `Plan ${id} has no step "${stepId}".` });
  if (doneMs !== null) requirePast('at', doneMs, context);
  const steps = kept.body.steps.map((step) => (step.id === stepId ? { ...step, doneMs } : step));
  return { ...kept, body: { ...kept.body, steps } };
}

/** The batch begins and the plan notes it in one commit. */
function stick(id: string, stuckMs: number, context: BatchContext) {
  const kept = requirePreparation(id, context);
  if (batchOf(kept, context) !== null)
    throw badRequest('body', `Plan ${id} was stuck already, as batch ${kept.batchId}.`);
  const { crop, placeId, sheetId, count } = kept.body;
  if (placeId === null) throw badRequest('placeId', 'Say first where it will stand: "placeId".');
  if (sheetId === null) throw badRequest('sheetId', 'Choose its target sheet first: "sheetId".');
  if (count === null) throw badRequest('count', 'Say first how many cuttings: "count".');
  const order = { crop, placeId, sheetId, count, stuckMs, details: batchDetailsOf(kept.body) };
  const batchId = addBatch(order, context, (made) =>
    context.store.preparations.update({ ...kept, batchId: made }),
  );
  return viewer(context)(requireBatch(String(batchId), context));
}
