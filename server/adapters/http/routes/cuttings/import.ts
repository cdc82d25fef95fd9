import type { CUTTINGS_IMPORT_ROUTES } from '../../../../../shared/routes/cuttings/import.ts';
import type { BatchService } from '../../../../ports.ts';
import type { Handlers } from '../../router.ts';

/** Batches and sheets as they were exported. */
export function cuttingsImportHandlers({
  batches,
}: {
  readonly batches: BatchService;
}): Handlers<typeof CUTTINGS_IMPORT_ROUTES> {
  return {
    'post /api/v1/batches/import': ({ body, query: { dryRun } }) =>
      batches.importFrom({ batches: body.batches ?? [], sheets: body.sheets ?? [], dryRun }),
  };
}
