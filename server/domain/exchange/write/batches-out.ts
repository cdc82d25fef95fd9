import type { WeaningPlan } from '../../../../shared/model/cuttings/weaning.ts';
import { endOf, holding, type KeptBatch, type LeadingChoice } from '../../batches/batch.ts';
import { csvLine } from './csv-write.ts';

/** Batches as they are exported to CSV: one batch a row, its newest count beside it; the others are in NDJSON. */
export const CSV_BATCHES = {
  leftOut:
    'It is for reading and has the newest count of each batch; the NDJSON export has all, and an import brings it back.',
  header: (): string => csvLine(COLUMNS),
  row: (batch: KeptBatch): string => {
    const newest = batch.counts.at(-1);
    const { sheets, cutAtMs, boxOpenedAtMs, weaning, ...body } = batch.body;
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
      potted: newest?.count.potted,
      grades: newest?.count.grades?.map(({ grade, n }) => `${grade} ${n}`).join('; '),
      weaningFrom: timeOf(weaning?.fromMs ?? null),
      weaningGateShare: weaning?.gateShare,
      weaningSteps: weaning?.steps
        .map(({ days, lowKpa, highKpa }) => `${days} d ${lowKpa}-${highKpa} kPa`)
        .join('; '),
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
  'potted',
  'grades',
  'weaningFrom',
  'weaningGateShare',
  'weaningSteps',
];

type ChoicesAt = (placeId: string) => readonly LeadingChoice[];

/**
 * One batch with all that was entered of it, as a line of NDJSON. Times in RFC 3339.
 * @param choicesAt who was chosen to lead at a place
 */
export function batchNdjson(batch: KeptBatch, choicesAt: ChoicesAt = () => []): string {
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
    leads: leadsOf(batch, choicesAt),
  };
  return `${JSON.stringify(line)}\n`;
}

/** The places at which it was chosen to lead, each from when. */
function leadsOf({ id, stays }: KeptBatch, choicesAt: ChoicesAt) {
  const placeIds = [...new Set(stays.flatMap(({ placeId }) => placeId ?? []))];
  return placeIds.flatMap((placeId) =>
    choicesAt(placeId)
      .filter(({ batchId }) => batchId === id)
      .map(({ fromMs }) => ({ placeId, from: timeOf(fromMs) })),
  );
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
