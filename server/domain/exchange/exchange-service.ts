import type {
  ExportForm,
  ExportStep,
  ExportWhat,
  ImportProgress,
  ImportReport,
} from '../../../shared/wire/exchange.ts';
import type { FileOrder } from './read/file-reader.ts';
import type { Stretch } from './write/exposures-out.ts';

/** What is to be exported of a place; `by` cuts exposures into rows. */
export type ExportQuery = {
  readonly what: ExportWhat;
  readonly as: ExportForm;
  readonly by: ExportStep;
  readonly span: Stretch;
};

/** A piece of an export, text or bytes, and how far through the span it comes; it may be empty. */
export type ExportChunk = { readonly text: string | Uint8Array; readonly atMs: number };

export type ExportAnswer = {
  readonly mediaType: string;
  /** of letters, digits, `-`, `_` and `.` only */
  readonly fileName: string;
  /** what of the span is not in it, in one line, or null */
  readonly leftOut: string | null;
  /** read from the record only as it is asked for */
  readonly chunks: Iterable<ExportChunk>;
};

export type ImportOrder = Omit<FileOrder, 'nowMs' | 'takenFromMs'> & {
  readonly as: ExportForm;
  readonly dryRun: boolean;
  /** bytes of the file, when they are known */
  readonly totalBytes: number | null;
};

/** The record out of the installation, and into it. */
export type Exchange = {
  /** Without `fromMs` from the first reading on, without `toMs` to the newest. @throws Fault `not-found`, `bad-request` */
  exportOf(
    placeId: string,
    query: Omit<ExportQuery, 'span'> & { fromMs: number | null; toMs: number | null },
  ): ExportAnswer & { readonly span: Stretch };
  /** Reads a file of readings; stores none in a dry run. @throws Fault `bad-request`, `store-failed` */
  importFrom(file: AsyncIterable<Uint8Array>, order: ImportOrder): Promise<ImportReport>;
  /** null before the first import */
  importProgress(): ImportProgress | null;
};
