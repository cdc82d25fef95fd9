import type { BatchDetails, Count } from '../../shared/model/cuttings/batch.ts';
import type { StageId } from '../../shared/model/cuttings/sheet.ts';
import type { WeaningPlan } from '../../shared/model/cuttings/weaning.ts';
import type {
  Batch,
  BatchExposures,
  BatchThermalTime,
  CompareDays,
  Comparison,
  Leading,
  Strike,
} from '../../shared/wire/cuttings/batches.ts';
import type { BatchDemand } from '../../shared/wire/cuttings/demand.ts';
import type { BatchHolding } from '../../shared/wire/cuttings/holding.ts';
import type { CuttingsImport } from '../../shared/wire/cuttings/import.ts';
import type { BatchReport } from '../../shared/wire/cuttings/report.ts';
import type { BatchRooting } from '../../shared/wire/cuttings/rooting.ts';
import type { BatchWeaning } from '../../shared/wire/cuttings/weaning.ts';
import type { PreparationService } from './preparation-service.ts';

type Given<T> = { readonly [K in keyof T]?: T[K] | undefined };

/** A batch as it is ordered; times in ms since epoch. */
export type BatchOrder = {
  readonly placeId: string;
  readonly crop: string;
  readonly sheetId: string;
  readonly stuckMs: number;
  readonly count: number;
  readonly details: Given<BatchDetails>;
};

/** What is changed of a batch; the rest stays. */
export type BatchChange = Given<{
  crop: string;
  count: number;
  stuckMs: number;
  sheetId: string;
  sheetFromMs: number;
  state: 'open' | 'closed';
  closedMs: number;
}> & { readonly details: Given<BatchDetails> };

/** Limits of thermal time that a caller states, °C. */
export type StatedLimits = Given<{ baseC: number; optimumC: number; stopC: number }>;

/** Batches, plans and own sheets as their export wrote them, not looked at yet. */
export type ImportedCuttings = {
  readonly batches: readonly unknown[];
  readonly preparations: readonly unknown[];
  readonly sheets: readonly unknown[];
  /** everything is checked, and nothing kept */
  readonly dryRun: boolean;
};

/** Which batches are compared, by id; or which benches, each over the days since the batch that leads there was stuck. */
export type CompareQuery = Given<{ batches: readonly string[]; places: readonly string[] }>;

/**
 * Batches. Each throws Fault `not-found` for an unknown id, `bad-request` for what does not fit, and `store-failed`.
 * Ids are numbers as text.
 */
export type BatchService = {
  readonly preparations: PreparationService;
  /** newest first */
  list(query: {
    readonly placeId: string | null;
    readonly state: 'open' | 'closed' | 'deleted' | null;
  }): Batch[];
  get(id: string): Batch;
  add(order: BatchOrder): Batch;
  change(id: string, change: BatchChange): Batch;
  remove(id: string): void;
  restore(id: string): Batch;
  addStage(id: string, order: { readonly stage: StageId; readonly fromMs: number }): Batch;
  removeStage(id: string, n: number): void;
  move(id: string, order: { readonly placeId: string; readonly fromMs: number }): Batch;
  removeMove(id: string, n: number): void;
  addCount(id: string, order: { readonly atMs: number; readonly count: Count }): Batch;
  removeCount(id: string, n: number): void;
  strike(id: string): Strike;
  exposures(id: string): BatchExposures;
  thermalTime(id: string, limits: StatedLimits): BatchThermalTime;
  rooting(id: string): BatchRooting;
  holding(id: string): BatchHolding;
  weaning(id: string): BatchWeaning;
  /** null: no plan any more */
  setWeaning(id: string, plan: WeaningPlan | null): BatchWeaning;
  demand(id: string): Promise<BatchDemand>;
  report(id: string): Promise<BatchReport>;
  /** the report as a CSV file, a row a fact */
  reportCsv(id: string): Promise<string>;
  compare(query: CompareQuery): Comparison;
  /** day by day since sticking */
  compareDays(query: CompareQuery): Promise<CompareDays>;
  importFrom(items: ImportedCuttings): CuttingsImport;
  leading(placeId: string): Leading;
  setLeading(
    placeId: string,
    choice: { readonly batchId: string | null; readonly fromMs: number | null },
  ): Leading;
};
