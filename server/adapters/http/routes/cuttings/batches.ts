import type { BATCH_ROUTES } from '../../../../../shared/routes/cuttings/batches.ts';
import type { BatchService } from '../../../../ports.ts';
import { pageOf } from '../../paging.ts';
import type { Handlers } from '../../router.ts';

/** /api/v1/batches, what belongs to one, and which leads at a place. */
export function batchHandlers({
  batches,
}: {
  readonly batches: BatchService;
}): Handlers<typeof BATCH_ROUTES> {
  return {
    ...wholeHandlers(batches),
    ...entryHandlers(batches),
    'get /api/v1/batches/{id}/strike': ({ params: { id } }) => batches.strike(id),
    'get /api/v1/batches/{id}/exposures': ({ params: { id } }) => batches.exposures(id),
    'get /api/v1/batches/{id}/thermal-time': ({ params: { id }, query }) => batches.thermalTime(id, query),
    'get /api/v1/compare': ({ query }) => batches.compare(query),
    'get /api/v1/compare/days': ({ query }) => batches.compareDays(query),
    'get /api/v1/places/{id}/leading': ({ params: { id } }) => batches.leading(id),
    'put /api/v1/places/{id}/leading': ({ params: { id }, body: { batchId, from } }) =>
      batches.setLeading(id, { batchId, fromMs: from ?? null }),
  };
}

function wholeHandlers(batches: BatchService) {
  return {
    'get /api/v1/batches': ({ query }) => {
      const { placeId = null, state = null } = query;
      const all = batches.list({ placeId, state });
      const page = pageOf(all, query, { keyOf: ({ id }) => Number(id), newestFirst: true });
      return { batches: page.rows, ...page.next };
    },
    'post /api/v1/batches': ({ body }) => {
      const { placeId, crop, sheetId, stuckAt, count, ...given } = body;
      return batches.add({ placeId, crop, sheetId, stuckMs: stuckAt, count, details: detailsOf(given) });
    },
    'get /api/v1/batches/{id}': ({ params: { id } }) => batches.get(id),
    'patch /api/v1/batches/{id}': ({ params: { id }, body }) => {
      const { crop, count, stuckAt, sheetId, sheetFrom, state, closedAt, ...given } = body;
      const times = { stuckMs: stuckAt, sheetFromMs: sheetFrom, closedMs: closedAt };
      return batches.change(id, { crop, count, sheetId, state, ...times, details: detailsOf(given) });
    },
    'delete /api/v1/batches/{id}': ({ params: { id } }) => batches.remove(id),
    'post /api/v1/batches/{id}/restore': ({ params: { id } }) => batches.restore(id),
  } satisfies Partial<Handlers<typeof BATCH_ROUTES>>;
}

function entryHandlers(batches: BatchService) {
  return {
    'post /api/v1/batches/{id}/stages': ({ params: { id }, body: { stage, from } }) =>
      batches.addStage(id, { stage, fromMs: from }),
    'delete /api/v1/batches/{id}/stages/{n}': ({ params: { id, n } }) => batches.removeStage(id, n),
    'post /api/v1/batches/{id}/moves': ({ params: { id }, body: { placeId, from } }) =>
      batches.move(id, { placeId, fromMs: from }),
    'delete /api/v1/batches/{id}/moves/{n}': ({ params: { id, n } }) => batches.removeMove(id, n),
    'post /api/v1/batches/{id}/counts': ({ params: { id }, body: { at, ...count } }) =>
      batches.addCount(id, { atMs: at, count }),
    'delete /api/v1/batches/{id}/counts/{n}': ({ params: { id, n } }) => batches.removeCount(id, n),
  } satisfies Partial<Handlers<typeof BATCH_ROUTES>>;
}

type SentTimes = {
  readonly cutAt?: number | null | undefined;
  readonly boxOpenedAt?: number | null | undefined;
};

function detailsOf<T extends SentTimes>({ cutAt, boxOpenedAt, ...details }: T) {
  return { ...details, cutAtMs: cutAt, boxOpenedAtMs: boxOpenedAt };
}
