/** How far one quantity is from one source at its worst row. */
export type ReportLine = {
  readonly quantity: string;
  readonly rows: number;
  readonly worst: number;
  readonly tolerance: number;
  readonly unit: string;
  readonly source: string;
};
