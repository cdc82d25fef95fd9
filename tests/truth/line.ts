/** How far one quantity is from one source at its worst row. */
export type ReportLine = {
  readonly kind: 'published rows' | 'psychrolib' | 'record';
  readonly quantity: string;
  readonly rows: number;
  /** Of the rows, those whose value is from memory, not read in a copy of the source. */
  readonly recalled: number;
  readonly worst: number;
  readonly tolerance: number;
  readonly unit: string;
  readonly source: string;
};
