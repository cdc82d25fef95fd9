import { type FileMetaData, parquetMetadataAsync, parquetReadObjects } from 'hyparquet';
import { ByteWriter, ParquetWriter, schemaFromColumnData } from 'hyparquet-writer';
import { Fault } from '../../../shared/faults.ts';
import type { Columns, ColumnsRow, ColumnsWriter, ReadingRow } from '../../ports.ts';

/** Rows that are packed together; few enough that packing them holds nobody up. */
const GROUP_ROWS = 20_000;

/** Readings as Apache Parquet, snappy inside, a column each of time, device, probe, quantity, unit and value. */
export const parquetColumns: Columns = { write: writing, read: reading };

function writing({ withCorrected }: { readonly withCorrected: boolean }): ColumnsWriter {
  const out = new ByteWriter();
  const file = new ParquetWriter({
    writer: out,
    schema: schemaFromColumnData({ columnData: columnsOf([], withCorrected) }),
    createdBy: 'strikewell',
  });
  let waiting: ReadingRow[] = [];
  const pack = (rows: readonly ReadingRow[]) => {
    if (rows.length > 0)
      void file.write({ columnData: columnsOf(rows, withCorrected), rowGroupSize: GROUP_ROWS });
  };
  const taken = () => {
    const bytes = out.getBytes().slice();
    out.index = 0;
    return bytes;
  };
  return {
    add(rows) {
      waiting.push(...rows);
      while (waiting.length >= GROUP_ROWS) {
        pack(waiting.slice(0, GROUP_ROWS));
        waiting = waiting.slice(GROUP_ROWS);
      }
      return taken();
    },
    end() {
      pack(waiting);
      waiting = [];
      void file.finish();
      return taken();
    },
  };
}

function columnsOf(rows: readonly ReadingRow[], withCorrected: boolean) {
  const text = (name: string, of: (row: ReadingRow) => string | null, nullable = false) => ({
    name,
    data: rows.map(of),
    type: 'STRING' as const,
    nullable,
  });
  return [
    {
      name: 'time',
      data: rows.map(({ timeMs }) => new Date(timeMs)),
      type: 'TIMESTAMP' as const,
      nullable: false,
    },
    text('device', ({ device }) => device),
    text('probe', ({ probe }) => probe),
    text('quantity', ({ quantity }) => quantity, true),
    text('unit', ({ unit }) => unit),
    { name: 'value', data: rows.map(({ value }) => value), type: 'DOUBLE' as const, nullable: false },
    ...(withCorrected
      ? [
          {
            name: 'corrected',
            data: rows.map(({ corrected, value }) => (corrected === undefined ? value : corrected)),
            type: 'DOUBLE' as const,
            nullable: true,
          },
        ]
      : []),
  ];
}

async function* reading(bytes: Uint8Array): AsyncGenerator<readonly ColumnsRow[]> {
  const file = bytes.slice().buffer;
  const metadata = await metadataOf(file);
  let rowStart = 0;
  for (const { num_rows } of metadata.row_groups) {
    const rowEnd = rowStart + Number(num_rows);
    const rows = await parquetReadObjects({ file, metadata, rowStart, rowEnd }).catch(notRead);
    yield rows.map(withNumbers);
    rowStart = rowEnd;
  }
}

function metadataOf(file: ArrayBuffer): Promise<FileMetaData> {
  return parquetMetadataAsync(file).catch(notRead);
}

function notRead(cause: unknown): never {
  const why = cause instanceof Error ? cause.message : String(cause);
  throw new Fault({ code: 'bad-request', message: `The file cannot be read as Parquet: ${why}.`, cause });
}

/** Times come as dates and whole numbers as big ones. */
function withNumbers(row: Readonly<Record<string, unknown>>): ColumnsRow {
  const plain = (value: unknown) =>
    value instanceof Date ? value.getTime() : typeof value === 'bigint' ? Number(value) : value;
  return Object.fromEntries(Object.entries(row).map(([name, value]) => [name, plain(value)]));
}
