import { Router } from 'express';
import { Fault } from '../../../../shared/faults.ts';
import { placePatchSchema } from '../../../../shared/model/place.ts';
import { targetsSchema } from '../../../../shared/model/targets.ts';
import { SERIES_QUANTITIES, type SeriesQuantityName } from '../../../../shared/quantities.ts';
import type { Orders, Queries } from '../../../ports.ts';
import { pageOf, readPaging } from '../paging.ts';
import { detailRoutes, readThermalLimits } from './details.ts';
import { readBody, readInstant, readSpan } from './read.ts';

/** Most points a series may be thinned to. */
export const MAX_POINTS = 10_000;

/** /api/v1/places and what belongs to one place. */
export function placeRoutes({ queries, orders }: { queries: Queries; orders: Orders }): Router {
  const routes = Router();
  routes.get('/', ({ query }, response) => {
    const page = pageOf(queries.places(), readPaging(query), { keyOf: ({ id }) => id });
    response.json({ places: page.rows, ...page.next });
  });
  routes.get('/:id', ({ params }, response) => {
    const startMs = queries.recordStartMs(params.id);
    const recordStart = startMs === null ? null : new Date(startMs).toISOString();
    response.json({ ...queries.place(params.id), recordStart });
  });
  routes.patch('/:id', ({ params, body }, response) => {
    orders.patchPlace(params.id, readBody(placePatchSchema, body));
    response.json(queries.place(params.id));
  });
  routes.get('/:id/now', ({ params }, response) => void response.json(queries.now(params.id)));
  routes.get('/:id/targets', ({ params }, response) => void response.json(queries.targets(params.id)));
  routes.put('/:id/targets', ({ params, body }, response) => {
    const { from, ...rest } = objectOf(body);
    const fromMs = from === undefined ? null : readInstant('from', from);
    const targets = readBody(targetsSchema, rest);
    orders.setTargets(params.id, { targets, fromMs });
    response.json(targets);
  });
  routes.get('/:id/exposures', ({ params, query }, response) => {
    response.json(queries.exposures(params.id, readSpan(query)));
  });
  routes.get('/:id/bands', ({ params, query }, response) => {
    response.json({ bands: queries.bands(params.id, readSpan(query)) });
  });
  routes.get('/:id/explain', ({ params, query }, response) => {
    const of = typeof query['of'] === 'string' ? query['of'] : '';
    const spanned = query['from'] !== undefined || query['to'] !== undefined;
    const span = spanned ? readSpan(query) : null;
    const limits = of.startsWith('thermalTime.') ? readThermalLimits(query) : null;
    response.json(queries.explain(params.id, { of, span, limits }));
  });
  routes.get('/:id/series', ({ params, query }, response) => {
    const quantity = readQuantity(query['quantity']);
    const points = readPoints(query['points']);
    response.json(queries.series(params.id, { ...readSpan(query), quantity, points }));
  });
  detailRoutes(routes, { queries, orders });
  return routes;
}

function objectOf(body: unknown): Readonly<Record<string, unknown>> {
  if (typeof body === 'object' && body !== null && !Array.isArray(body))
    return body as Record<string, unknown>;
  throw new Fault({ code: 'bad-request', message: 'The body must be a JSON object.' });
}

function readQuantity(value: unknown): SeriesQuantityName {
  if (typeof value === 'string' && Object.hasOwn(SERIES_QUANTITIES, value))
    return value as SeriesQuantityName;
  const known = Object.keys(SERIES_QUANTITIES).join(', ');
  const message = `"quantity" must be one of ${known}.`;
  throw new Fault({ code: 'bad-request', message, details: { field: 'quantity' } });
}

function readPoints(value: unknown): number | null {
  if (value === undefined) return null;
  const points = typeof value === 'string' && /^\d{1,6}$/.test(value) ? Number(value) : 0;
  if (points >= 1 && points <= MAX_POINTS) return points;
  const message = `"points" must be a whole number from 1 to ${MAX_POINTS}.`;
  throw new Fault({ code: 'bad-request', message, details: { field: 'points' } });
}
