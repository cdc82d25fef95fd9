/** One reading as a row of a file of columns. */
export type ReadingRow = {
  /** ms since epoch */
  readonly timeMs: number;
  readonly device: string;
  readonly probe: string;
  /** null for an unassigned probe */
  readonly quantity: string | null;
  /** as a person reads it */
  readonly unit: string;
  /** as the probe reported it */
  readonly value: number;
  /** what it is taken for, null where it is not used; left out where nothing is corrected */
  readonly corrected?: number | null;
};

/** A file of columns that is being written; bytes come as soon as a group of rows is whole. */
export type ColumnsWriter = {
  add(rows: readonly ReadingRow[]): Uint8Array;
  /** the last rows, and what the file says of itself */
  end(): Uint8Array;
};

/** A row of such a file by the names of its columns; times are ms since epoch. */
export type ColumnsRow = Readonly<Record<string, unknown>>;

/** Readings in columns, compressed, for programs that count: Apache Parquet. */
export type Columns = {
  write(options: { readonly withCorrected: boolean }): ColumnsWriter;
  /** The rows of a whole file, group by group. @throws Fault `bad-request` for what is no such file */
  read(file: Uint8Array): AsyncIterable<readonly ColumnsRow[]>;
};
