import { Fault } from '../../../../shared/faults.ts';
import { type CsvFault, type CsvRow, createCsvReader } from '../../../domain/exchange/read/csv-read.ts';
import { unguarded } from '../../../domain/exchange/write/csv-write.ts';
import { DIARY_COLUMNS } from '../../../domain/exchange/write/diary-out.ts';
import type { FileItem } from './json-lines.ts';

/** Columns without which a row is no entry of a diary. */
const NEEDED = ['at', 'kind'] as const;

/** Rows of a diary's CSV as the lines of its NDJSON have them; an empty cell is what was not written down. */
export function createDiaryCsv() {
  const csv = createCsvReader();
  let header: readonly string[] | null = null;
  const read = (rows: readonly (CsvRow | CsvFault)[]): FileItem[] =>
    rows.flatMap((row): FileItem[] => {
      if ('fault' in row) return [row];
      if (header === null) {
        header = headerOf(row.cells);
        return [];
      }
      const cells = header.map((column, i) => [column, unguarded(row.cells[i]?.trim() ?? '') || null]);
      return [{ line: row.line, item: Object.fromEntries(cells) }];
    });
  return { push: (text: string) => read(csv.push(text)), end: () => read(csv.end()) };
}

function headerOf(cells: readonly string[]): readonly string[] {
  const header = cells.map((cell) => cell.trim());
  const known: readonly string[] = DIARY_COLUMNS;
  if (NEEDED.every((column) => header.includes(column)) && header.every((cell) => known.includes(cell)))
    return header;
  throw new Fault({
    code: 'bad-request',
    message:
      'This CSV is no export of the diary. Batches and plans come back from their NDJSON export, readings by the import of readings.',
  });
}
