import { Router } from 'express';
import type { BackupDesk } from '../../../domain/backups/doors.ts';
import type { Orders, Queries } from '../../../ports.ts';

type HouseDeps = { readonly queries: Queries; readonly orders: Orders; readonly backups: BackupDesk };

/** /api/v1/house, /probes, /refused, the backups and the demo. */
export function houseRoutes({ queries, orders, backups }: HouseDeps): Router {
  const routes = Router();
  routes.get('/house', (_request, response) => void response.json(queries.house()));
  routes.get('/probes', (_request, response) => void response.json({ probes: queries.probes() }));
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
