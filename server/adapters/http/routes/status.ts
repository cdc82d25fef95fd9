import { createHash, timingSafeEqual } from 'node:crypto';
import { Fault } from '../../../../shared/faults.ts';
import type { LIVENESS_ROUTES, METRICS_ROUTES } from '../../../../shared/routes/house.ts';
import type { LIVE_ROUTES } from '../../../../shared/routes/live.ts';
import type { Access, StatusService } from '../../../ports.ts';
import type { AuthGuard } from '../auth-guard.ts';
import type { Handlers } from '../router.ts';

type StatusDeps = {
  readonly status: StatusService;
  readonly access: Pick<Access, 'closed'>;
  readonly authGuard: Pick<AuthGuard, 'guestOf' | 'scopeOf'>;
  /** what a program that collects metrics shows in place of a sign-in; null for none */
  readonly metricsToken: string | null;
};

/** /healthz and /readyz, which are always open. */
export function livenessHandlers({ status }: Pick<StatusDeps, 'status'>): Handlers<typeof LIVENESS_ROUTES> {
  return {
    'get /healthz': ({ response }) => {
      response.setHeader('cache-control', 'no-store');
      if (status.alive()) return { status: status.notReady().length === 0 ? 'ready' : 'running' };
      response.status(503);
      return { status: 'not-running' };
    },
    'get /readyz': ({ response }) => {
      response.setHeader('cache-control', 'no-store');
      const reasons = status.notReady();
      if (reasons.length === 0) return { status: 'ready' };
      response.status(503);
      return { status: 'not-ready', reasons };
    },
  };
}

/** @source [OPENMETRICS] section 3 */
const OPENMETRICS_TYPE = 'application/openmetrics-text; version=1.0.0; charset=utf-8';

/** /metrics, for who is signed in or shows the token, once anybody has to sign in. */
export function metricsHandlers(deps: StatusDeps): Handlers<typeof METRICS_ROUTES> {
  const { status, access, authGuard, metricsToken } = deps;
  return {
    'get /metrics': async ({ request, response }) => {
      const isKnown = () =>
        authGuard.guestOf(request) !== null ||
        authGuard.scopeOf(request) !== null ||
        shows(request.headers.authorization, metricsToken);
      if (access.closed() && !isKnown()) {
        response.setHeader('www-authenticate', 'Bearer');
        const message =
          'Sign in first, or send a bearer token: one that an owner made, or that of STRIKEWELL_METRICS_TOKEN.';
        throw new Fault({ code: 'sign-in-needed', message });
      }
      const body = await status.metrics();
      response.setHeader('content-type', OPENMETRICS_TYPE);
      response.setHeader('cache-control', 'no-store');
      // as it stands: express would write the charset again
      response.end(body);
    },
  };
}

/** /live as it is asked for by anything but a websocket, which never comes here. @source [RFC9110] section 15.5.22 */
export const liveHandlers: Handlers<typeof LIVE_ROUTES> = {
  'get /live': () => {
    const message = 'This address is a websocket: connect to it with an upgrade; see /api/v1/openapi.json.';
    throw new Fault({ code: 'websocket-needed', message });
  },
};

/** In the same time whatever is shown. @source [RFC6750] section 2.1 */
function shows(authorization: string | undefined, token: string | null): boolean {
  const [, shown] = /^Bearer +(\S+)$/i.exec(authorization ?? '') ?? [];
  if (token === null || shown === undefined) return false;
  const digest = (text: string) => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(shown), digest(token));
}
