import type { KeptEntry } from '../../diary/entry.ts';
import { csvLine } from './csv-write.ts';

/** Entries of the diary as they are exported to CSV, one a row. Times in RFC 3339. */
export const CSV_DIARY = {
  header: (): string => csvLine(COLUMNS),
  row: (entry: KeptEntry): string => {
    const cells: Readonly<Record<string, string | number | null>> = lineOf(entry);
    return csvLine(COLUMNS.map((column) => cells[column] ?? null));
  },
};

const COLUMNS = ['id', 'at', 'to', 'kind', 'place', 'batch', 'note', 'by', 'photo'];

/** One entry as a line of NDJSON. `photo` is the name of the file in the folder of photos. */
export function diaryNdjson(entry: KeptEntry): string {
  return `${JSON.stringify(lineOf(entry))}\n`;
}

function lineOf({ id, atMs, toMs, kind, placeId, batchId, note, by, photo }: KeptEntry) {
  return {
    id,
    at: new Date(atMs).toISOString(),
    to: toMs === null ? null : new Date(toMs).toISOString(),
    kind,
    place: placeId,
    batch: batchId,
    note,
    by,
    photo,
  };
}
