import type { IncomingMessage } from 'node:http';
import { Router } from 'express';
import { Fault } from '../../../../shared/faults.ts';
import {
  ALARM_STATES,
  outOfServiceRequestSchema,
  shelveRequestSchema,
} from '../../../../shared/model/alarm.ts';
import type { Orders, Queries } from '../../../ports.ts';
import { pageOf, readPaging } from '../paging.ts';
import { readBody, readInstant, readSpan } from './read.ts';

export type AlarmRouteDeps = {
  readonly queries: Queries;
  readonly orders: Orders;
  readonly nowMs: () => number;
  /** who asks, for the record */
  readonly nameOf: (request: IncomingMessage) => string | null;
};

/** /api/v1/alarms. */
export function alarmRoutes({ queries, orders, nowMs, nameOf }: AlarmRouteDeps): Router {
  const routes = Router();
  routes.get('/', ({ query }, response) => {
    const state = readState(query['state']);
    const spanned = query['from'] !== undefined || query['to'] !== undefined;
    const fromMs = query['from'] === undefined ? 0 : readInstant('from', query['from']);
    const toMs = query['to'] === undefined ? Math.max(nowMs(), fromMs) + 1 : readInstant('to', query['to']);
    const alarms = spanned ? queries.alarmsIn({ fromMs, toMs }) : queries.alarms();
    const wanted = alarms.filter((alarm) => state === null || alarm.state === state);
    const page = pageOf(wanted, readPaging(query), { keyOf: ({ id }) => id });
    response.json({ alarms: page.rows, ...page.next });
  });
  routes.get('/quality', ({ query }, response) => {
    response.json(queries.alarmQuality(readSpan(query)));
  });
  routes.get('/:id/events', ({ params }, response) => {
    response.json({ events: queries.alarmEvents(params.id) });
  });
  routes.post('/:id/acknowledge', (request, response) => {
    response.json(orders.acknowledge(request.params.id, { by: nameOf(request) }));
  });
  routes.post('/:id/shelve', (request, response) => {
    const order = readBody(shelveRequestSchema, request.body);
    response.json(orders.shelve(request.params.id, { ...order, by: nameOf(request) }));
  });
  routes.post('/:id/unshelve', ({ params }, response) => void response.json(orders.unshelve(params.id)));
  routes.post('/:id/reset', ({ params }, response) => void response.json(orders.reset(params.id)));
  routes.post('/:id/out-of-service', (request, response) => {
    const order = readBody(outOfServiceRequestSchema, request.body);
    response.json(orders.takeOutOfService(request.params.id, { ...order, by: nameOf(request) }));
  });
  routes.post(
    '/:id/in-service',
    ({ params }, response) => void response.json(orders.putInService(params.id)),
  );
  return routes;
}

function readState(value: unknown) {
  if (value === undefined) return null;
  const state = ALARM_STATES.find((known) => known === value);
  if (state) return state;
  const message = `"state" must be one of ${ALARM_STATES.join(', ')}.`;
  throw new Fault({ code: 'bad-request', message, details: { field: 'state' } });
}
