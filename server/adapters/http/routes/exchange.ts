import type { IncomingMessage, ServerResponse } from 'node:http';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { Router } from 'express';
import { Fault } from '../../../../shared/faults.ts';
import { importMappingSchema, REPEATED_HOURS } from '../../../../shared/model/import-mapping.ts';
import { EXPORT_FORMS, EXPORT_STEPS, EXPORT_WHATS } from '../../../../shared/wire/exchange.ts';
import type { Exchange, ExportChunk, ImportOrder, Log } from '../../../ports.ts';
import { readBody, readInstant } from './read.ts';

type Query = Readonly<Record<string, unknown>>;

/** Lets a request come in for longer than others. */
export type KeepOpen = (request: IncomingMessage, response: ServerResponse) => void;

type ExchangeDeps = { readonly exchange: Exchange; readonly log: Log; readonly keepOpen: KeepOpen };

/** Exports of a place, and imports: both stream, so neither a year nor its file has to fit in memory. */
export function exchangeRoutes({ exchange, log, keepOpen }: ExchangeDeps): Router {
  const routes = Router();
  routes.get('/places/:id/export', async ({ params, query }, response) => {
    const answer = exchange.exportOf(params.id, {
      what: oneOf(query, 'what', EXPORT_WHATS, 'readings'),
      as: oneOf(query, 'as', EXPORT_FORMS, 'csv'),
      by: oneOf(query, 'by', EXPORT_STEPS, 'day'),
      fromMs: optionalInstant(query, 'from'),
      toMs: optionalInstant(query, 'to'),
    });
    response.setHeader('content-type', answer.mediaType);
    response.setHeader('content-disposition', `attachment; filename="${answer.fileName}"`);
    if (answer.leftOut !== null) response.setHeader('strikewell-left-out', answer.leftOut);
    try {
      await pipeline(Readable.from(textsOf(answer.chunks)), response);
    } catch (cause) {
      // headers are gone: the cut connection says that the answer is not whole
      if (!response.destroyed) response.destroy();
      log.warn('an export was cut off', { place: params.id, error: String(cause) });
    }
  });
  routes.get('/import', (_request, response) => {
    response.json({ import: exchange.importProgress() });
  });
  routes.post('/import', async (request, response) => {
    const order = orderOf(request.query, request.headers);
    keepOpen(request, response);
    try {
      // a file that is not read to its end must not take the connection with it: the answer goes out on it
      const report = await exchange.importFrom(request.iterator({ destroyOnReturn: false }), order);
      response.json(report);
    } finally {
      request.resume();
    }
  });
  return routes;
}

/** Between two pieces everyone else has a turn. */
async function* textsOf(chunks: Iterable<ExportChunk>): AsyncGenerator<string> {
  for (const { text } of chunks) {
    if (text !== '') yield text;
    await new Promise((resolve) => setImmediate(resolve));
  }
}

function orderOf(
  query: Query,
  headers: Readonly<Record<string, string | string[] | undefined>>,
): ImportOrder {
  const isSenml = String(headers['content-type'] ?? '').startsWith('application/senml+json');
  const length = Number(headers['content-length']);
  return {
    device: textOf(query, 'device') ?? '',
    as: oneOf(query, 'as', ['csv', 'senml'], isSenml ? 'senml' : 'csv'),
    dryRun: oneOf(query, 'dryRun', ['true', 'false'], 'true') === 'true',
    mapping: mappingOf(textOf(query, 'map')),
    zone: textOf(query, 'zone'),
    repeatedHour:
      query['repeatedHour'] === undefined ? null : oneOf(query, 'repeatedHour', REPEATED_HOURS, 'first'),
    totalBytes: Number.isFinite(length) ? length : null,
  };
}

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

function oneOf<T extends string>(query: Query, name: string, known: readonly T[], otherwise: T): T {
  const value = query[name];
  if (value === undefined) return otherwise;
  const found = known.find((each) => each === value);
  if (found !== undefined) return found;
  const message = `"${name}" must be one of ${known.join(', ')}.`;
  throw new Fault({ code: 'bad-request', message, details: { field: name } });
}

function textOf(query: Query, name: string): string | null {
  const value = query[name];
  return typeof value === 'string' && value !== '' ? value : null;
}

function optionalInstant(query: Query, name: string): number | null {
  return query[name] === undefined ? null : readInstant(name, query[name]);
}
