import { Router } from 'express';
import type { PeopleDesk } from '../../../ports.ts';

type PeopleRouteDeps = { readonly people: PeopleDesk };

/** The people who are told, and how. */
export function peopleRoutes({ people }: PeopleRouteDeps): Router {
  const routes = Router();
  routes.get('/house/webhook-secret', (_request, response) => {
    response.set('cache-control', 'no-store').json({ secret: people.webhookSecret() });
  });
  return routes;
}
