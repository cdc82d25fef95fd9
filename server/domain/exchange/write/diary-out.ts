import type { KeptBatch } from '../../batches/batch.ts';
import type { KeptEntry } from '../../diary/entry.ts';
import { identityOut } from '../identity.ts';
import { csvLine } from './csv-write.ts';

/** An entry with the batch that it names. */
type Entry = KeptEntry & { readonly batch: KeptBatch | null };

/** What CSV, and NDJSON unless photos are asked for, do not carry. */
export const DIARY_LEFT_OUT =
  'Photos are not in it, only their names; GET /api/v1/diary/export?photos=true writes them as NDJSON.';

/** Columns of a diary in CSV. */
export const DIARY_COLUMNS = [
  'id',
  'at',
  'to',
  'kind',
  'place',
  'batch',
  'note',
  'by',
  'photo',
  'batchCrop',
  'batchStuckAt',
  'batchPlace',
] as const;

/** Entries of the diary as they are exported to CSV, one a row. Times in RFC 3339. */
export const CSV_DIARY = {
  header: (): string => csvLine(DIARY_COLUMNS),
  row: (entry: Entry): string => {
    const cells: Readonly<Record<string, string | number | null>> = lineOf(entry);
    return csvLine(DIARY_COLUMNS.map((column) => cells[column] ?? null));
  },
};

/**
 * One entry as a line of NDJSON. `photo` is the name of the file in the folder of photos.
 * @param photoData the photo itself, where it is written with its entry
 */
export function diaryNdjson(entry: Entry, photoData: Uint8Array | null = null): string {
  const carried = photoData === null ? {} : { photoData: Buffer.from(photoData).toString('base64') };
  return `${JSON.stringify({ ...lineOf(entry), ...carried })}\n`;
}

function lineOf({ id, atMs, toMs, kind, placeId, note, by, photo, batch }: Entry) {
  return {
    id,
    at: new Date(atMs).toISOString(),
    to: toMs === null ? null : new Date(toMs).toISOString(),
    kind,
    place: placeId,
    batch: batch?.id ?? null,
    note,
    by,
    photo,
    ...identityOut(batch),
  };
}
