import type { BatchBody, Count } from '../../../shared/model/cuttings/batch.ts';
import type { StageId } from '../../../shared/model/cuttings/sheet.ts';
import type { KeptBatch, LeadingChoice } from '../../domain/batches/batch.ts';

/** A batch as it begins: its first stage and stay hold from when it was stuck. */
type NewBatch = {
  readonly placeId: string;
  readonly stage: StageId;
  readonly stuckMs: number;
  readonly entered: number;
  readonly body: BatchBody;
};

type OfBatch<T> = T & { readonly batchId: number; readonly n: number };
type KeptStage = OfBatch<{
  readonly stage: StageId;
  readonly fromMs: number;
  readonly entered: number;
}>;
type KeptMove = OfBatch<{
  readonly placeId: string;
  readonly fromMs: number;
  readonly entered: number;
}>;
type KeptCount = OfBatch<{ readonly atMs: number; readonly count: Count }>;
type Entry = { readonly batchId: number; readonly n: number };

/** Batches of cuttings, deleted ones too, and who was chosen to lead. Everything that writes, inside a transaction. */
export type Batches = {
  /** in the order in which they were entered */
  all(): KeptBatch[];
  /** those that ever stood at a place */
  atPlace(placeId: string): KeptBatch[];
  get(id: number): KeptBatch | null;
  count(): number;
  add(batch: NewBatch): number;
  /** Body, when it was stuck, closed and deleted; its first stage and stay move with when it was stuck. */
  update(batch: Pick<KeptBatch, 'id' | 'body' | 'stuckMs' | 'closed' | 'deletedMs'>): void;
  /** Forgets a batch with all that was entered of it. */
  remove(id: number): void;
  /** Takes the place of the entry of that number. */
  putStage(stage: KeptStage): void;
  putMove(move: KeptMove): void;
  putCount(count: KeptCount): void;
  removeStage(entry: Entry): void;
  removeMove(entry: Entry): void;
  removeCount(entry: Entry): void;
  choices(placeId: string): LeadingChoice[];
  choose(placeId: string, choice: LeadingChoice): void;
  /** The number of the next edit. */
  nextEntered(): number;
};
