import type { PreparationBody } from '../../../../shared/model/cuttings/preparation.ts';
import type { KeptBatch } from '../../batches/batch.ts';
import { identityOut } from '../identity.ts';
import { csvLine } from './csv-write.ts';

/** A plan as it is kept. */
type Plan = { readonly id: number; readonly body: PreparationBody };

const COLUMNS = [
  'id',
  'crop',
  'cultivar',
  'stickOn',
  'placeId',
  'sheetId',
  'count',
  'steps',
  'stockPlant',
  'permission',
  'medium',
  'mediumState',
  'mediumSterile',
  'tray',
  'position',
  'hormone',
  'hormoneStrength',
  'note',
  'batch',
  'batchCrop',
  'batchStuckAt',
  'batchPlace',
] as const;

/** Plans as they are exported to CSV, one a row; `steps` has each with its days before sticking, and when it was done. */
export const CSV_PREPARATIONS = {
  leftOut: 'It is for reading: the plans that an import brings back are those of the NDJSON export.',
  header: (): string => csvLine(COLUMNS),
  /** @param became the batch it became */
  row: (plan: Plan, became: KeptBatch | null): string => {
    const { steps, mediumSterile, ...line } = lineOf(plan, became);
    const cells: Readonly<Record<string, string | number | null>> = {
      ...line,
      mediumSterile: mediumSterile === null ? null : mediumSterile ? 'yes' : 'no',
      steps: steps.map(stepText).join('; '),
    };
    return csvLine(COLUMNS.map((column) => cells[column] ?? null));
  },
};

function stepText({ id, name, daysBefore, doneAt }: ReturnType<typeof lineOf>['steps'][number]): string {
  return `${name ?? id} ${daysBefore} d before${doneAt === null ? '' : `, done ${doneAt}`}`;
}

/** One plan as a line of NDJSON. @param became the batch it became */
export function preparationNdjson(plan: Plan, became: KeptBatch | null): string {
  return `${JSON.stringify(lineOf(plan, became))}\n`;
}

function lineOf({ id, body }: Plan, became: KeptBatch | null) {
  const { steps, ...plan } = body;
  return {
    id,
    ...plan,
    steps: steps.map(({ doneMs, ...step }) => ({
      ...step,
      doneAt: doneMs === null ? null : new Date(doneMs).toISOString(),
    })),
    batch: became?.id ?? null,
    ...identityOut(became),
  };
}
