import type { IncomingMessage, ServerResponse } from 'node:http';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { createGzip } from 'node:zlib';
import { Fault } from '../../../../shared/faults.ts';
import { importMappingSchema } from '../../../../shared/model/import-mapping.ts';
import type { EXCHANGE_ROUTES } from '../../../../shared/routes/exchange.ts';
import type { ReadQuery } from '../../../../shared/routes/route.ts';
import type { ExportForm } from '../../../../shared/wire/exchange.ts';
import type { Exchange, ExportChunk, ImportOrder, Log } from '../../../ports.ts';
import { type Handlers, readBody } from '../router.ts';

/** Lets a request come in for longer than others. */
export type KeepOpen = (request: IncomingMessage, response: ServerResponse) => void;

type ExchangeDeps = { readonly exchange: Exchange; readonly log: Log; readonly keepOpen: KeepOpen };

/** Exports of a place, and imports: both stream, so neither a year nor its file has to fit in memory. */
export function exchangeHandlers({
  exchange,
  log,
  keepOpen,
}: ExchangeDeps): Handlers<typeof EXCHANGE_ROUTES> {
  return {
    'get /api/v1/places/{id}/export': async ({ params, query: { from, to, gzip, ...wanted }, response }) => {
      const span = { fromMs: from ?? null, toMs: to ?? null };
      const answer = exchange.exportOf(params.id, { ...wanted, ...span });
      response.setHeader('content-type', gzip ? 'application/gzip' : answer.mediaType);
      const fileName = gzip ? `${answer.fileName}.gz` : answer.fileName;
      response.setHeader('content-disposition', `attachment; filename="${fileName}"`);
      if (answer.leftOut !== null) response.setHeader('strikewell-left-out', answer.leftOut);
      try {
        const texts = Readable.from(textsOf(answer.chunks));
        await (gzip ? pipeline(texts, createGzip(), response) : pipeline(texts, response));
      } catch (cause) {
        // headers are gone: the cut connection says that the answer is not whole
        if (!response.destroyed) response.destroy();
        log.warn('an export was cut off', { place: params.id, error: String(cause) });
      }
    },
    'get /api/v1/import': () => ({ import: exchange.importProgress() }),
    'post /api/v1/import': async ({ query, request, response }) => {
      const order = orderOf(query, request.headers);
      keepOpen(request, response);
      try {
        // a file that is not read to its end must not take the connection with it: the answer goes out on it
        return await exchange.importFrom(request.iterator({ destroyOnReturn: false }), order);
      } finally {
        request.resume();
      }
    },
  };
}

/** Between two pieces everyone else has a turn. */
async function* textsOf(chunks: Iterable<ExportChunk>): AsyncGenerator<string | Uint8Array> {
  for (const { text } of chunks) {
    if (text.length > 0) yield text;
    await new Promise((resolve) => setImmediate(resolve));
  }
}

function orderOf(
  query: ReadQuery<(typeof EXCHANGE_ROUTES)['post /api/v1/import']>,
  headers: Readonly<Record<string, string | string[] | undefined>>,
): ImportOrder {
  const stated = String(headers['content-type'] ?? '').split(';')[0] ?? '';
  const length = Number(headers['content-length']);
  return {
    device: query.device,
    of: query.of || null,
    as: query.as ?? FORM_OF[stated] ?? 'csv',
    dryRun: query.dryRun,
    mapping: mappingOf(query.map || null),
    zone: query.zone || null,
    repeatedHour: query.repeatedHour ?? null,
    totalBytes: Number.isFinite(length) ? length : null,
  };
}

/** What a body is called says how it is read, where the request does not. */
const FORM_OF: Readonly<Record<string, ExportForm>> = {
  'application/senml+json': 'senml',
  'application/x-ndjson': 'ndjson',
  'application/vnd.apache.parquet': 'parquet',
};

/** A mapping in one line, or as the JSON that a dry run answers with. */
function mappingOf(text: string | null): ImportOrder['mapping'] {
  if (text === null || !text.trimStart().startsWith('{')) return text;
  try {
    return readBody(importMappingSchema, JSON.parse(text));
  } catch (cause) {
    if (cause instanceof Fault) throw cause;
    throw new Fault({ code: 'bad-request', message: '"map" is not JSON.', details: { field: 'map' }, cause });
  }
}
