import type { PreparationBody, PreparationDetails } from '../../shared/model/cuttings/preparation.ts';
import type { Batch } from '../../shared/wire/cuttings/batches.ts';
import type { KnownStep, Preparation } from '../../shared/wire/cuttings/preparations.ts';

type Given<T> = { readonly [K in keyof T]?: T[K] | undefined };
type ChosenSteps = readonly Pick<PreparationBody['steps'][number], 'id' | 'name' | 'daysBefore'>[];

/** A plan as it is ordered. */
export type PreparationOrder = Pick<PreparationBody, 'crop' | 'stickOn'> & {
  readonly steps: ChosenSteps;
  readonly details: Given<PreparationDetails>;
};
export type PreparationChange = Given<Omit<PreparationOrder, 'details'>> & Pick<PreparationOrder, 'details'>;

/** Batches that are planned. Each throws Fault `not-found`, `bad-request` and `store-failed`. */
export type PreparationService = {
  known(): readonly KnownStep[];
  /** by their day of sticking */
  list(state: 'open' | 'stuck' | 'deleted' | null): Preparation[];
  get(id: string): Preparation;
  add(order: PreparationOrder): Preparation;
  change(id: string, change: PreparationChange): Preparation;
  remove(id: string): void;
  restore(id: string): Preparation;
  /** null: it was not done */
  tick(id: string, stepId: string, doneMs: number | null): Preparation;
  stick(id: string, stuckMs: number): Batch;
};
