import type { ROOTING_ROUTES } from '../../../../../shared/routes/cuttings/rooting.ts';
import type { BatchService } from '../../../../ports.ts';
import type { Handlers } from '../../router.ts';

/** The clock of a batch. */
export function rootingHandlers({
  batches,
}: {
  readonly batches: BatchService;
}): Handlers<typeof ROOTING_ROUTES> {
  return {
    'get /api/v1/batches/{id}/rooting': ({ params: { id } }) => batches.rooting(id),
    'get /api/v1/batches/{id}/demand': ({ params: { id } }) => batches.demand(id),
  };
}
