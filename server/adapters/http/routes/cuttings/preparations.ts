import type { PREPARATION_ROUTES } from '../../../../../shared/routes/cuttings/preparations.ts';
import type { BatchService } from '../../../../ports.ts';
import { pageOf } from '../../paging.ts';
import type { Handlers } from '../../router.ts';

type Deps = { readonly batches: BatchService; readonly nowMs: () => number };

/** /api/v1/preparations: batches that are planned. */
export function preparationHandlers({
  batches: { preparations },
  nowMs,
}: Deps): Handlers<typeof PREPARATION_ROUTES> {
  return {
    'get /api/v1/preparation-steps': () => ({ steps: [...preparations.known()] }),
    'get /api/v1/preparations': ({ query }) => {
      const all = preparations.list(query.state ?? null);
      const page = pageOf(all, query, { keyOf: ({ stickOn, id }) => `${stickOn} ${id.padStart(15, '0')}` });
      return { preparations: page.rows, ...page.next };
    },
    'post /api/v1/preparations': ({ body: { crop, stickOn, steps, ...details } }) =>
      preparations.add({ crop, stickOn, steps, details }),
    'get /api/v1/preparations/{id}': ({ params: { id } }) => preparations.get(id),
    'patch /api/v1/preparations/{id}': ({ params: { id }, body: { crop, stickOn, steps, ...details } }) =>
      preparations.change(id, { crop, stickOn, steps, details }),
    'delete /api/v1/preparations/{id}': ({ params: { id } }) => preparations.remove(id),
    'post /api/v1/preparations/{id}/restore': ({ params: { id } }) => preparations.restore(id),
    'put /api/v1/preparations/{id}/steps/{stepId}': ({ params: { id, stepId }, body: { done, at } }) =>
      preparations.tick(id, stepId, done ? (at ?? nowMs()) : null),
    'post /api/v1/preparations/{id}/stick': ({ params: { id }, body: { stuckAt } }) =>
      preparations.stick(id, stuckAt ?? nowMs()),
  };
}
