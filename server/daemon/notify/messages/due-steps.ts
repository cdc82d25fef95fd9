import { asSentence } from '../../../../shared/words/plain.ts';
import { stepsOf } from '../../../domain/batches/preparation.ts';
import type { NotifyContext } from '../calling.ts';

/**
 * Steps of planned batches that fell due since the last morning sheet, a line each; none that was done.
 * @param days.after the local day of the last sheet
 * @param days.today the local day of this one
 */
export function dueStepLines(
  { store }: Pick<NotifyContext, 'store'>,
  { after, today }: { readonly after: string; readonly today: string },
): string[] {
  return store.preparations.all().flatMap(({ body, batchId, deletedMs }) => {
    const isStuck = batchId !== null && store.batches.get(batchId)?.deletedMs === null;
    if (deletedMs !== null || isStuck) return [];
    const name =
      body.cultivar === null ? asSentence(body.crop) : `${asSentence(body.crop)} ‘${body.cultivar}’`;
    return stepsOf(body, today)
      .filter(({ state, due }) => state !== 'done' && due > after && due <= today)
      .map(
        (step) =>
          `${name}, planned for ${body.stickOn}: ${step.name} ${step.due === today ? 'is due today' : `was due ${step.due}`}.`,
      );
  });
}
