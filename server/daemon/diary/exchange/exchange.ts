import type { CuttingsExchange } from '../../../ports.ts';
import { exportCuttings } from './export.ts';
import { type CuttingsContext, importCuttingsFile } from './import.ts';

/** Own sheets, batches, plans and the diary, out of the record and into it. */
export function createCuttingsExchange(context: CuttingsContext): CuttingsExchange {
  return {
    exportOf: (query) => exportCuttings(query, context),
    importFrom: async (file, order) => importCuttingsFile(file, order, context),
  };
}
