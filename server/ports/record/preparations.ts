import type { PreparationBody } from '../../../shared/model/cuttings/preparation.ts';

/** A planned batch as it is kept; `batchId` is the batch it became, times in ms since epoch. */
export type KeptPreparation = {
  readonly id: number;
  readonly body: PreparationBody;
  readonly batchId: number | null;
  readonly deletedMs: number | null;
};

/** Planned batches, deleted ones too. Everything that writes, inside a transaction. */
export type Preparations = {
  all(): KeptPreparation[];
  get(id: number): KeptPreparation | null;
  count(): number;
  add(body: PreparationBody): number;
  update(preparation: KeptPreparation): void;
  /** Forgets a plan. */
  remove(id: number): void;
};
