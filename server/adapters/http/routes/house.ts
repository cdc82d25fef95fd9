import { Router } from 'express';
import type { BackupDesk } from '../../../domain/backups/doors.ts';
import type { Orders, Queries, StatusDesk } from '../../../ports.ts';
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
  routes.get('/probes', (_request, response) => void response.json({ probes: queries.probes() }));
  routes.get('/probes/findings', ({ query }, response) => {
    const placeId = typeof query['place'] === 'string' ? query['place'] : null;
    const spanned = query['from'] !== undefined || query['to'] !== undefined;
    response.json(queries.findings({ placeId, span: spanned ? readSpan(query) : null }));
  });
  routes.get('/refused', (_request, response) => void response.json(queries.refused()));
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
