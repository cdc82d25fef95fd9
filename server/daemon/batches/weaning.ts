import { bandExposure } from '../../../shared/exposure/integrate.ts';
import type { Window } from '../../../shared/exposure/series.ts';
import type { WeaningPlan } from '../../../shared/model/cuttings/weaning.ts';
import type { BatchWeaning } from '../../../shared/wire/cuttings/weaning.ts';
import type { KeptBatch } from '../../domain/batches/batch.ts';
import { weaningOf } from '../../domain/batches/weaning.ts';
import { curveOf } from '../../domain/exposures/curves.ts';
import { recordsOf } from '../world/records.ts';
import { type BatchContext, badRequest, type EntryContext, isoOf, kept, requireBatch } from './context.ts';
import { staysIn } from './sums.ts';

/** How far ahead weaning may be planned: a year, ms. */
const MOST_AHEAD_MS = 366 * 86_400_000;

/** The plan by which a batch is weaned, and what its record says of each step. */
export function batchWeaning(batch: KeptBatch, context: BatchContext): BatchWeaning {
  const recordOf = (window: Window, { lowKpa, highKpa }: { lowKpa: number; highKpa: number }) =>
    recorded(batch, { ...window, low: lowKpa, high: highKpa }, context);
  return weaningOf(batch, { nowMs: context.clock.nowMs(), recordOf });
}

type Banded = Window & { readonly low: number; readonly high: number };

function recorded(batch: KeptBatch, { low, high, ...window }: Banded, context: BatchContext) {
  let [hoursBelow, hoursWithin, hoursAbove] = [0, 0, 0];
  for (const { placeId, fromMs, toMs } of staysIn(batch, window)) {
    const place = context.world.places.get(placeId ?? '');
    if (!place || fromMs >= toMs) continue;
    const span = { fromMs, toMs };
    const records = recordsOf(place, span, ['air/temperature', 'air/humidity'], context);
    const { segments } = curveOf('airVpdKpa', { records, settings: place.settings });
    const one = bandExposure(segments, [{ ...span, low, high }], span);
    hoursBelow += one.hoursBelow;
    hoursWithin += one.hoursWithin;
    hoursAbove += one.hoursAbove;
  }
  return { hoursBelow, hoursWithin, hoursAbove };
}

/** Gives a batch another plan of weaning, or with null none. @throws Fault `not-found`, `bad-request`, `store-failed` */
export function setWeaning(id: string, plan: WeaningPlan | null, context: EntryContext): void {
  const batch = requireBatch(id, context);
  if (plan !== null) {
    if (plan.fromMs < batch.stuckMs)
      throw badRequest('from', `"from" must not lie before the batch was stuck, ${isoOf(batch.stuckMs)}.`);
    if (plan.fromMs > context.clock.nowMs() + MOST_AHEAD_MS)
      throw badRequest('from', '"from" must lie within a year from now.');
  }
  const body = { ...batch.body, weaning: plan };
  kept([], context, () => context.store.batches.update({ ...batch, body }));
}
