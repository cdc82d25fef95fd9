import { Router } from 'express';
import type { BackupDesk } from '../../../domain/backups/doors.ts';
import type { Orders, Queries, StatusDesk } from '../../../ports.ts';
import { numberIn, pageOf, readPaging, writeCursor } from '../paging.ts';
import { readSpan } from './read.ts';

type HouseDeps = {
  readonly queries: Queries;
  readonly orders: Orders;
  readonly backups: BackupDesk;
  readonly status: Pick<StatusDesk, 'clock'>;
};

/** /api/v1/house, /probes and what is found wrong with them, /refused, the backups and the demo. */
export function houseRoutes({ queries, orders, backups, status }: HouseDeps): Router {
  const routes = Router();
  routes.get('/house', (_request, response) => void response.json(queries.house()));
  routes.get('/clock', (_request, response) => void response.json(status.clock()));
  routes.get('/probes', ({ query }, response) => {
    const page = pageOf(queries.probes(), readPaging(query), { keyOf: ({ id }) => id });
    response.json({ probes: page.rows, ...page.next });
  });
  routes.get('/probes/findings', ({ query }, response) => {
    const placeId = typeof query['place'] === 'string' ? query['place'] : null;
    const spanned = query['from'] !== undefined || query['to'] !== undefined;
    response.json(queries.findings({ placeId, span: spanned ? readSpan(query) : null }));
  });
  routes.get('/refused', ({ query }, response) => {
    const { limit, cursor } = readPaging(query);
    const beforeId = cursor === null ? null : numberIn(cursor);
    const answer = queries.refused(limit === null ? null : { limit, beforeId });
    const last = answer.refused.at(-1);
    const more = limit !== null && answer.refused.length === limit && last !== undefined;
    const next = limit === null ? {} : { next: more ? writeCursor(last.id) : null };
    response.json({ ...answer, ...next });
  });
  routes.get('/backups', (_request, response) => void response.json(backups.answer()));
  routes.post('/backups', (_request, response) => {
    backups.start();
    response.status(202).json(backups.answer());
  });
  routes.post('/demo', (_request, response) => {
    orders.startDemo();
    response.status(202).json(queries.house());
  });
  routes.delete('/demo', async (_request, response) => {
    await orders.removeDemo();
    response.json(queries.house());
  });
  return routes;
}
