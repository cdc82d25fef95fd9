import { type Sheet, STAGE_IDS, stageOf } from '../../../shared/model/cuttings/sheet.ts';
import type { DueStage } from '../../../shared/wire/cuttings/batches.ts';
import { localDays } from '../calendar/days.ts';
import { type KeptBatch, standingAt } from './batch.ts';

const DAY_MS = 86_400_000;

/**
 * When the next stage of an open batch is expected, by the days its sheet states for the present one. Nothing follows
 * from it by itself: somebody enters the stage.
 * @param sheet the one the batch has now; null where it is gone
 * @param at.nowMs ms since epoch
 * @param at.zone IANA time zone in which days are counted
 * @returns null in the last stage, once closed, and where the sheet states no days
 */
export function dueStage(
  batch: Pick<KeptBatch, 'stages' | 'body' | 'closed'>,
  sheet: Pick<Sheet, 'stages'> | null,
  { nowMs, zone }: { readonly nowMs: number; readonly zone: string },
): DueStage | null {
  const { stage } = standingAt(batch, nowMs);
  const next = STAGE_IDS[STAGE_IDS.indexOf(stage.stage) + 1];
  const days = sheet && stageOf(sheet, stage.stage).days;
  if (!next || !days || batch.closed !== null) return null;
  const [fromMs, toMs] = [stage.fromMs + days.low * DAY_MS, stage.fromMs + days.high * DAY_MS];
  const state =
    nowMs < dayAt(fromMs, zone).fromMs ? 'ahead' : nowMs < dayAt(toMs, zone).toMs ? 'due' : 'late';
  return { stage: next, from: new Date(fromMs).toISOString(), to: new Date(toMs).toISOString(), state };
}

function dayAt(atMs: number, zone: string): { readonly fromMs: number; readonly toMs: number } {
  const [day] = localDays({ fromMs: atMs, toMs: atMs + 1, zone });
  return day ?? { fromMs: atMs, toMs: atMs };
}
