import { countSchema } from '../../../shared/model/cuttings/batch.ts';
import { STAGE_IDS } from '../../../shared/model/cuttings/sheet.ts';
import { DAY_MS, DEMO_BATCHES } from '../../domain/demo/scenario.ts';
import type { BatchService } from '../../ports.ts';

/**
 * Enters the batches of the demo's invented growers, through the same orders and checks as any other: what they were exposed
 * to, and when half had roots, follows from the invented record by itself.
 * @param anchorMs when the back record ends, ms since epoch; the days of the batches are counted back from it
 */
export function enterDemoBatches(batches: BatchService, anchorMs: number): void {
  const before = (days: number) => Math.round(anchorMs - days * DAY_MS);
  for (const one of DEMO_BATCHES.batches) {
    const { id } = batches.add({
      placeId: one.device,
      crop: one.crop,
      sheetId: one.sheetId,
      stuckMs: before(one.stuckDaysBefore),
      count: one.count,
      details: { cultivar: one.cultivar, note: DEMO_BATCHES.note },
    });
    for (const { stage, daysBefore } of one.stages) {
      const known = STAGE_IDS.find((of) => of === stage);
      if (known !== undefined) batches.addStage(id, { stage: known, fromMs: before(daysBefore) });
    }
    for (const { daysBefore, ...count } of one.counts)
      batches.addCount(id, { atMs: before(daysBefore), count: countSchema.parse(count) });
    if (one.closedDaysBefore !== null)
      batches.change(id, { state: 'closed', closedMs: before(one.closedDaysBefore), details: {} });
  }
}
