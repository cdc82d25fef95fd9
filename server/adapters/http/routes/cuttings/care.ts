import type { CARE_ROUTES } from '../../../../../shared/routes/cuttings/care.ts';
import type { BatchService } from '../../../../ports.ts';
import type { Handlers } from '../../router.ts';

/** What was done with cuttings before sticking and after rooting. */
export function careHandlers({ batches }: { readonly batches: BatchService }): Handlers<typeof CARE_ROUTES> {
  return {
    'get /api/v1/batches/{id}/holding': ({ params: { id } }) => batches.holding(id),
    'get /api/v1/batches/{id}/weaning': ({ params: { id } }) => batches.weaning(id),
    'put /api/v1/batches/{id}/weaning': ({ params: { id }, body: { from, ...plan } }) =>
      batches.setWeaning(id, { fromMs: from, ...plan }),
    'delete /api/v1/batches/{id}/weaning': ({ params: { id } }) => void batches.setWeaning(id, null),
  };
}
