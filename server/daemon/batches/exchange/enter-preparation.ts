import type { PreparationLine } from '../../../../shared/model/cuttings/preparation-line.ts';
import type { EntryContext } from '../context.ts';
import { addPreparation, ticked } from '../preparations.ts';
import { namedBatch, namedWords } from './named-batch.ts';
import { refusal } from './refusal.ts';

/**
 * Enters all of a plan. One that became a batch that is not here is open again.
 * @returns what differs from its line
 * @throws Fault `bad-request`
 */
export function enterPreparation(line: PreparationLine, context: EntryContext): string[] {
  const { id: _id, batch: _batch, batchCrop, batchStuckAt, batchPlace, ...plan } = line;
  const { crop, stickOn, steps, ...details } = plan;
  const named = { batchCrop, batchStuckAt, batchPlace };
  const became = namedBatch(named, context);
  requireNew(line, context);
  const chosen = steps.map(({ doneAt: _doneAt, ...step }) => step);
  const id = addPreparation({ crop, stickOn, steps: chosen, details }, context);
  const { preparations } = context.store;
  for (const { id: stepId, doneAt: doneMs = null } of steps)
    if (doneMs !== null) preparations.update(ticked(String(id), { stepId, doneMs }, context));
  if (became === null) return [];
  if (became === 'unknown')
    return [
      `The plan of ${crop} for ${stickOn} is open: the batch it became is not here (${namedWords(named)}).`,
    ];
  const kept = preparations.get(id);
  if (kept) preparations.update({ ...kept, batchId: became.id });
  return [];
}

/** @throws Fault `bad-request` where a plan of the crop for that day and place is there already */
function requireNew(
  { crop, stickOn, placeId = null, cultivar = null }: PreparationLine,
  { store }: EntryContext,
): void {
  const same = store.preparations
    .all()
    .find(
      ({ body, deletedMs }) =>
        deletedMs === null &&
        body.crop === crop &&
        body.stickOn === stickOn &&
        body.placeId === placeId &&
        body.cultivar === cultivar,
    );
  if (same) throw refusal(`It is there already, as plan ${same.id}.`);
}
