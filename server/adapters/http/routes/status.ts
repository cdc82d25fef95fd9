import { createHash, timingSafeEqual } from 'node:crypto';
import { Router } from 'express';
import { Fault } from '../../../../shared/faults.ts';
import { OPENMETRICS_TYPE } from '../../../domain/metrics/openmetrics.ts';
import type { Access, StatusDesk } from '../../../ports.ts';
import type { Doorkeeper } from '../doorkeeper.ts';

type StatusDeps = {
  readonly status: StatusDesk;
  readonly access: Pick<Access, 'closed'>;
  readonly doorkeeper: Pick<Doorkeeper, 'guestOf'>;
  /** what a program that collects metrics shows in place of a sign-in; null for none */
  readonly metricsToken: string | null;
};

/** /healthz and /readyz, which are always open. */
export function livenessRoutes({ status }: Pick<StatusDeps, 'status'>): Router {
  const routes = Router();
  routes.use(['/healthz', '/readyz'], (_request, response, next) => {
    response.setHeader('cache-control', 'no-store');
    next();
  });
  routes.get('/healthz', (_request, response) => {
    if (!status.alive()) response.status(503).json({ status: 'not-running' });
    else response.json({ status: status.notReady().length === 0 ? 'ready' : 'running' });
  });
  routes.get('/readyz', (_request, response) => {
    const reasons = status.notReady();
    if (reasons.length === 0) response.json({ status: 'ready' });
    else response.status(503).json({ status: 'not-ready', reasons });
  });
  return routes;
}

/** /metrics, for who is signed in or shows the token, once anybody has to sign in. */
export function metricsRoutes({ status, access, doorkeeper, metricsToken }: StatusDeps): Router {
  const routes = Router();
  routes.get('/metrics', (request, response) => {
    const isKnown = () =>
      doorkeeper.guestOf(request) !== null || shows(request.headers.authorization, metricsToken);
    if (access.closed() && !isKnown()) {
      response.setHeader('www-authenticate', 'Bearer');
      const message = 'Sign in first, or send the token of STRIKEWELL_METRICS_TOKEN as a bearer token.';
      throw new Fault({ code: 'sign-in-needed', message });
    }
    const body = status.metrics();
    response.setHeader('content-type', OPENMETRICS_TYPE);
    response.setHeader('cache-control', 'no-store');
    // as it stands: express would write the charset anew
    response.end(body);
  });
  return routes;
}

/** In the same time whatever is shown. @source [RFC6750] section 2.1 */
function shows(authorization: string | undefined, token: string | null): boolean {
  const [, shown] = /^Bearer +(\S+)$/i.exec(authorization ?? '') ?? [];
  if (token === null || shown === undefined) return false;
  const digest = (text: string) => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(shown), digest(token));
}
