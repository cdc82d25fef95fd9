import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import type {
  CUTTINGS_EXCHANGE_ROUTES,
  CUTTINGS_IMPORT_ROUTES,
} from '../../../../../shared/routes/cuttings/import.ts';
import type { BatchService, CuttingsExchange, Log } from '../../../../ports.ts';
import type { Handlers } from '../../router.ts';
import type { KeepOpen } from '../exchange.ts';

type ExchangeDeps = {
  readonly cuttings: CuttingsExchange;
  readonly log: Log;
  readonly keepOpen: KeepOpen;
};

/** Files of cuttings, out and in. */
export function cuttingsExchangeHandlers({
  cuttings,
  log,
  keepOpen,
}: ExchangeDeps): Handlers<typeof CUTTINGS_EXCHANGE_ROUTES> {
  return {
    'get /api/v1/cuttings/export': async ({ query, response }) => {
      const { mediaType, fileName, leftOut, lines } = cuttings.exportOf(query);
      response.setHeader('content-type', mediaType);
      response.setHeader('content-disposition', `attachment; filename="${fileName}"`);
      if (leftOut !== null) response.setHeader('strikewell-left-out', leftOut);
      try {
        await pipeline(Readable.from(lines), response);
      } catch (cause) {
        // headers are gone: the cut connection says that the answer is not whole
        if (!response.destroyed) response.destroy();
        log.warn('an export of cuttings was cut off', { error: String(cause) });
      }
    },
    'post /api/v1/cuttings/import': async ({ query, request, response }) => {
      keepOpen(request, response);
      try {
        // a file that is not read to its end must not take the connection with it: the answer goes out on it
        return await cuttings.importFrom(request.iterator({ destroyOnReturn: false }), query);
      } finally {
        request.resume();
      }
    },
  };
}

/** Batches, plans and sheets in the body of a request. */
export function cuttingsImportHandlers({
  batches,
}: {
  readonly batches: BatchService;
}): Handlers<typeof CUTTINGS_IMPORT_ROUTES> {
  return {
    'post /api/v1/batches/import': ({ body, query: { dryRun } }) => {
      const { batches: lines = [], preparations = [], sheets = [] } = body;
      return batches.importFrom({ batches: lines, preparations, sheets, dryRun });
    },
  };
}
