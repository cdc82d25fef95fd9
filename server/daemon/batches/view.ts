import type { Batch, CountView, Leading } from '../../../shared/wire/cuttings/batches.ts';
import { endOf, holding, type KeptBatch, standingAt } from '../../domain/batches/batch.ts';
import { dueStage } from '../../domain/batches/due.ts';
import { type Lead, leadsOf } from '../../domain/batches/leading.ts';
import { strikeOf } from '../../domain/batches/strike.ts';
import { requirePlace } from '../readout/queries.ts';
import { type BatchContext, isoOf } from './context.ts';

/** Shows batches as they are now: who leads is found once a place. */
export function viewer(context: BatchContext): (batch: KeptBatch) => Batch {
  const nowMs = context.clock.nowMs();
  const leading = new Map<string, number | null>();
  const leaderAt = (placeId: string) => {
    if (!leading.has(placeId)) leading.set(placeId, leadNow(placeId, context)?.batch?.id ?? null);
    return leading.get(placeId);
  };
  return (batch) => viewOf(batch, { nowMs, leaderAt, context });
}

type Viewing = {
  readonly nowMs: number;
  readonly leaderAt: (placeId: string) => number | null | undefined;
  readonly context: BatchContext;
};

function viewOf(batch: KeptBatch, { nowMs, leaderAt, context }: Viewing): Batch {
  const { body, closed, deletedMs } = batch;
  // what was entered up to the moment it was stuck holds, also by a clock that is a little ahead
  const atMs = Math.max(nowMs, batch.stuckMs);
  const stays = holding(batch.stays).map(({ n, placeId, fromMs, toMs }) => ({
    n,
    placeId,
    ...spanOf(fromMs, toMs),
  }));
  const placeId = stays.at(-1)?.placeId ?? null;
  const { stage, sheet } = standingAt(batch, atMs);
  const { sheets: _, weaning: __, cutAtMs, boxOpenedAtMs, ...shown } = body;
  return {
    id: String(batch.id),
    placeId,
    ...shown,
    cutAt: timeOf(cutAtMs),
    boxOpenedAt: timeOf(boxOpenedAtMs),
    sheetId: sheet.sheetId,
    sheetVersion: sheet.version,
    stuckAt: isoOf(batch.stuckMs),
    state: closed === null ? 'open' : 'closed',
    closedAt: timeOf(closed?.atMs ?? null),
    deletedAt: timeOf(deletedMs),
    leading: placeId !== null && deletedMs === null && leaderAt(placeId) === batch.id,
    stage: stage.stage,
    stages: stagesOf(batch),
    stays,
    counts: batch.counts.map(countView),
    strike: strikeOf(batch),
    due: dueStage(batch, context.sheetOf(sheet.sheetId, sheet.version), {
      nowMs: atMs,
      zone: context.timeZone,
    }),
  };
}

function stagesOf(batch: KeptBatch): Batch['stages'] {
  return batch.stages.map(({ n, stage, fromMs }, i) => {
    const toMs = batch.stages[i + 1]?.fromMs ?? endOf(batch);
    return { n, stage, ...spanOf(fromMs, toMs) };
  });
}

function countView({ n, atMs, count }: KeptBatch['counts'][number]): CountView {
  const { looked, rooted, callused = null, lost = [], potted = null, grades = [] } = count;
  return { n, at: isoOf(atMs), looked, rooted, callused, lost, potted, grades };
}

function spanOf(fromMs: number, toMs: number): { readonly from: string; readonly to: string | null } {
  return { from: isoOf(fromMs), to: Number.isFinite(toMs) ? isoOf(toMs) : null };
}

function timeOf(ms: number | null): string | null {
  return ms === null ? null : isoOf(ms);
}

/** Who leads at a place now. */
function leadNow(placeId: string, { store, clock }: BatchContext): Lead | undefined {
  const batches = store.batches.atPlace(placeId);
  const nowMs = clock.nowMs();
  return leadsOf({ placeId, batches, choices: store.batches.choices(placeId) }).findLast(
    ({ fromMs }) => fromMs <= nowMs,
  );
}

/** @throws Fault `not-found` */
export function leadingView(placeId: string, context: BatchContext): Leading {
  requirePlace(context.world, placeId);
  const lead = leadNow(placeId, context);
  return { placeId, batchId: lead?.batch ? String(lead.batch.id) : null, chosen: lead?.chosen ?? false };
}
