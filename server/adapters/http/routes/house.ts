import { Router } from 'express';
import type { Orders, Queries } from '../../../ports.ts';

/** /api/v1/house, /probes, /refused and the demo. */
export function houseRoutes({ queries, orders }: { queries: Queries; orders: Orders }): Router {
  const routes = Router();
  routes.get('/house', (_request, response) => void response.json(queries.house()));
  routes.get('/probes', (_request, response) => void response.json({ probes: queries.probes() }));
  routes.get('/refused', (_request, response) => void response.json(queries.refused()));
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
