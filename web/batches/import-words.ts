import type { CuttingsImport } from '../../shared/wire/cuttings/import.ts';

/** Batches and sheets of a file: one JSON object a line, or one over several lines. */
export type CuttingsFile = { readonly batches: readonly unknown[]; readonly sheets: readonly unknown[] };

/**
 * Reads what export wrote: batches a line each, or a sheet. What has the stays of a batch is one, all else a sheet.
 * @throws SyntaxError where it is no JSON
 */
export function readCuttings(text: string): CuttingsFile {
  const items = parsed(text);
  const isBatch = (item: unknown) => typeof item === 'object' && item !== null && 'stays' in item;
  return { batches: items.filter(isBatch), sheets: items.filter((item) => !isBatch(item)) };
}

function parsed(text: string): unknown[] {
  try {
    const whole: unknown = JSON.parse(text);
    return Array.isArray(whole) ? whole : [whole];
  } catch {
    return text
      .split('\n')
      .filter((line) => line.trim() !== '')
      .map((line): unknown => JSON.parse(line));
  }
}

const counted = (n: number, one: string, many: string) => `${n} ${n === 1 ? one : many}`;

/** What was added, or would be: `2 batches and 1 sheet would be added.` */
export function importWords({ dryRun, batches, sheets }: CuttingsImport): string {
  const what = `${counted(batches, 'batch', 'batches')} and ${counted(sheets, 'sheet', 'sheets')}`;
  return dryRun ? `${what} would be added.` : `Added: ${what}.`;
}

/** Why each was refused: `Batch 3 (Coleus): There is no place "sill".` */
export function refusedWords({ refused }: Pick<CuttingsImport, 'refused'>): string[] {
  return refused.map(({ what, nth, name, reason }) => {
    const of = `${what === 'batch' ? 'Batch' : 'Sheet'} ${nth}`;
    return `${of}${name === null ? '' : ` (${name})`}: ${reason}`;
  });
}
