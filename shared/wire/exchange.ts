import type { ImportMapping, RepeatedHour } from '../model/import-mapping.ts';

export const EXPORT_WHATS = ['readings', 'exposures', 'alarms'] as const;
export const EXPORT_FORMS = ['csv', 'ndjson', 'senml'] as const;
export const EXPORT_STEPS = ['day', 'hour'] as const;

export type ExportWhat = (typeof EXPORT_WHATS)[number];
export type ExportForm = (typeof EXPORT_FORMS)[number];
export type ExportStep = (typeof EXPORT_STEPS)[number];

export type BadRow = { readonly line: number; readonly reason: string };

/** What became of a file of readings, or in a dry run would. */
export type ImportReport = {
  readonly device: string;
  readonly dryRun: boolean;
  /** what the columns are; null for SenML, and while something is undecided */
  readonly mapping: ImportMapping | null;
  /** the mapping as one line, with `?` where only a person can tell */
  readonly mappingText: string;
  /** what must be said before a row can be read; then nothing below is counted */
  readonly undecided: readonly string[];
  readonly notes: readonly string[];
  /** rows of CSV or packs of SenML that were read, bad ones among them */
  readonly rows: number;
  readonly readings: number;
  readonly stored: number;
  readonly repeats: number;
  /** readings whose probe and time are stored with another value, which stays */
  readonly conflicts: number;
  /** RFC 3339; null before the first reading */
  readonly from: string | null;
  readonly to: string | null;
  readonly bad: { readonly count: number; readonly listed: readonly BadRow[] };
  /** rows whose wall-clock time came twice; `taken` is null while it was not said which is meant, and none is stored */
  readonly repeatedHour: {
    readonly rows: number;
    readonly lines: readonly number[];
    readonly taken: RepeatedHour | null;
  };
  readonly probes: readonly {
    readonly probe: string;
    readonly unit: string;
    readonly readings: number;
    readonly isNew: boolean;
  }[];
  /** id of the place that is made, or would be; null when it is there */
  readonly newPlace: string | null;
};

/** How far the import under way has come, or how the last one ended. */
export type ImportProgress = {
  readonly state: 'running' | 'done' | 'failed';
  readonly device: string;
  readonly dryRun: boolean;
  readonly bytes: number;
  /** as the sender said; null when it did not */
  readonly totalBytes: number | null;
  readonly rows: number;
  readonly stored: number;
  readonly error: string | null;
};
