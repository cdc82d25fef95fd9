import type { CuttingsFileImport } from '../../shared/wire/cuttings/import.ts';

/** Which cuttings are exported, and how. */
export type CuttingsQuery = {
  readonly what: 'all' | 'batches' | 'preparations' | 'sheets' | 'diary';
  readonly as: 'ndjson' | 'csv';
  /** whether photos are written with their entries */
  readonly photos: boolean;
};

export type CuttingsExport = {
  readonly mediaType: string;
  readonly fileName: string;
  /** what is not in it, in one line, or null */
  readonly leftOut: string | null;
  /** read from the record only as it is asked for */
  readonly lines: AsyncIterable<string>;
};

/** Own sheets, batches, plans and the diary, out of the installation and into it. */
export type CuttingsExchange = {
  /** @throws Fault `bad-request` for what a form does not have */
  exportOf(query: CuttingsQuery): CuttingsExport;
  /**
   * Reads a file that an export wrote; keeps nothing in a dry run.
   * @throws Fault `bad-request` for a file that is none of ours, `store-failed`
   */
  importFrom(
    file: AsyncIterable<Uint8Array>,
    order: { readonly as: 'ndjson' | 'csv'; readonly dryRun: boolean },
  ): Promise<CuttingsFileImport>;
};
