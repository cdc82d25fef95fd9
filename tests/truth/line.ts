/** How far one quantity is from one source at its worst row. */
export type ReportLine = {
  readonly kind: 'published rows' | 'psychrolib' | 'record';
  readonly quantity: string;
  readonly rows: number;
  /** Of the rows, those whose value was read in a copy of the source; the rest is worked out, or recalled. */
  readonly read: number;
  /** Of the rows, those whose value is from memory. */
  readonly recalled: number;
  readonly worst: number;
  readonly tolerance: number;
  readonly unit: string;
  readonly source: string;
};
