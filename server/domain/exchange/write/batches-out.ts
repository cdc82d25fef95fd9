import type { WeaningPlan } from '../../../../shared/model/cuttings/weaning.ts';
import { endOf, holding, type KeptBatch } from '../../batches/batch.ts';
import { csvLine } from './csv-write.ts';

/** Batches as they are exported to CSV: one batch a row, its newest count beside it; the others are in NDJSON. */
export const CSV_BATCHES = {
  header: (): string => csvLine(COLUMNS),
  row: (batch: KeptBatch): string => {
    const newest = batch.counts.at(-1);
    const { sheets, cutAtMs, boxOpenedAtMs, weaning: _, ...body } = batch.body;
    const sheet = sheets.at(-1);
    const cells: Readonly<Record<string, string | number | null | undefined>> = {
      ...body,
      id: batch.id,
      place: batch.stays.at(-1)?.placeId,
      sheetId: sheet?.sheetId,
      sheetVersion: sheet?.version,
      stuckAt: timeOf(batch.stuckMs),
      closedAt: timeOf(batch.closed?.atMs ?? null),
      cutAt: timeOf(cutAtMs),
      boxOpenedAt: timeOf(boxOpenedAtMs),
      stages: batch.stages.map(({ stage, fromMs }) => `${stage} ${timeOf(fromMs)}`).join('; '),
      places: batch.stays.map(({ placeId, fromMs }) => `${placeId ?? '?'} ${timeOf(fromMs)}`).join('; '),
      countedAt: timeOf(newest?.atMs ?? null),
      looked: newest?.count.looked,
      rooted: newest?.count.rooted,
      callused: newest?.count.callused,
      lost: newest?.count.lost?.map(({ cause, n }) => `${cause} ${n}`).join('; '),
    };
    return csvLine(COLUMNS.map((column) => cells[column] ?? null));
  },
};

const COLUMNS = [
  'id',
  'crop',
  'cultivar',
  'place',
  'sheetId',
  'sheetVersion',
  'stuckAt',
  'closedAt',
  'count',
  'stages',
  'places',
  'countedAt',
  'looked',
  'rooted',
  'callused',
  'lost',
  'stockPlant',
  'cuttingType',
  'nodes',
  'wound',
  'medium',
  'tray',
  'position',
  'cutAt',
  'cutHour',
  'boxOpenedAt',
  'hormone',
  'hormoneStrength',
  'note',
  'boxPlaceId',
];

/** One batch with all that was entered of it, as a line of NDJSON. Times in RFC 3339. */
export function batchNdjson(batch: KeptBatch): string {
  const { sheets, cutAtMs, boxOpenedAtMs, weaning, ...body } = batch.body;
  const line = {
    id: batch.id,
    ...body,
    cutAt: timeOf(cutAtMs),
    boxOpenedAt: timeOf(boxOpenedAtMs),
    stuckAt: timeOf(batch.stuckMs),
    closedAt: timeOf(batch.closed?.atMs ?? null),
    sheets: sheets.map(({ sheetId, version, fromMs }) => ({ sheetId, version, from: timeOf(fromMs) })),
    stages: batch.stages.map(({ stage, fromMs }) => ({ stage, from: timeOf(fromMs) })),
    weaning: weaning ? weaningOut(weaning) : null,
    stays: batch.stays.map(({ placeId, fromMs }) => ({ placeId, from: timeOf(fromMs) })),
    counts: batch.counts.map(({ atMs, count }) => ({ at: timeOf(atMs), ...count })),
  };
  return `${JSON.stringify(line)}\n`;
}

function weaningOut({ fromMs, ...plan }: WeaningPlan) {
  return { from: timeOf(fromMs), ...plan };
}

/**
 * The batches that stood at a place in a span, in the order in which they were entered; none that was deleted.
 * @param span ms since epoch; holds its start, not its end
 */
export function batchesIn(
  batches: readonly KeptBatch[],
  { placeId, fromMs, toMs }: { readonly placeId: string; readonly fromMs: number; readonly toMs: number },
): KeptBatch[] {
  return batches.filter(
    (batch) =>
      batch.deletedMs === null &&
      holding(batch.stays, endOf(batch)).some(
        (stay) => stay.placeId === placeId && stay.fromMs < toMs && stay.toMs > fromMs,
      ),
  );
}

function timeOf(ms: number | null): string | null {
  return ms === null ? null : new Date(ms).toISOString();
}
