import { createServer, type Server } from 'node:http';
import express, { type ErrorRequestHandler, type Express, type RequestHandler } from 'express';
import helmet from 'helmet';
import { Fault, type FaultCode } from '../../../shared/faults.ts';
import type { BackupDesk } from '../../domain/backups/doors.ts';
import type { Exchange, Log, Orders, PeopleDesk, Queries } from '../../ports.ts';
import { openapi } from './openapi.ts';
import { alarmRoutes } from './routes/alarms.ts';
import { answerRoutes } from './routes/answer.ts';
import { exchangeRoutes } from './routes/exchange.ts';
import { houseRoutes } from './routes/house.ts';
import { peopleRoutes } from './routes/people.ts';
import { placeRoutes } from './routes/places.ts';

/** Largest body a request may have. */
export const MAX_BODY_BYTES = 64 * 1024;
/** A file of readings may take this long to come in, ms. */
const MAX_UPLOAD_MS = 6 * 3_600_000;

export type HttpDeps = {
  readonly host: string;
  readonly port: number;
  readonly queries: Queries;
  readonly orders: Orders;
  readonly people: PeopleDesk;
  readonly backups: BackupDesk;
  readonly exchange: Exchange;
  readonly log: Log;
  /** folder of the built page */
  readonly pageDir: string;
  readonly nowMs: () => number;
};

const STATUS_OF: Partial<Record<FaultCode, number>> = {
  'not-found': 404,
  'bad-request': 400,
  'forbidden-origin': 403,
  'store-failed': 503,
};

/**
 * Serves the page and the interface under /api/v1.
 * @throws Fault `port-in-use` or `bad-setting` when it cannot listen
 */
export async function startHttp(deps: HttpDeps): Promise<Server> {
  const server = createServer({ requestTimeout: MAX_UPLOAD_MS }, createApp(deps));
  await new Promise<void>((resolve, reject) => {
    server.once('error', (cause: NodeJS.ErrnoException) => reject(listenFault(cause, deps)));
    server.listen(deps.port, deps.host, resolve);
  });
  return server;
}

function createApp(deps: HttpDeps): Express {
  const app = express();
  app.disable('x-powered-by');
  app.use(helmet(securityHeaders));
  app.get('/healthz', (_request, response) => void response.json({ status: 'ready' }));
  app.use('/answer', answerRoutes(deps));
  app.use(onlyFromHere);
  // before anything reads bodies: a file of readings is taken as it comes
  app.use('/api/v1', exchangeRoutes(deps));
  app.use('/api/v1', express.json({ limit: MAX_BODY_BYTES, strict: true }));
  app.get('/api/v1/openapi.json', (_request, response) => void response.json(openapi));
  app.use('/api/v1/places', placeRoutes(deps));
  app.use('/api/v1/alarms', alarmRoutes(deps));
  app.use('/api/v1', peopleRoutes(deps));
  app.use('/api/v1', houseRoutes(deps));
  app.use('/api', () => {
    throw new Fault({
      code: 'not-found',
      message: 'There is nothing at this address; see /api/v1/openapi.json.',
    });
  });
  app.use(
    '/assets',
    express.static(`${deps.pageDir}/assets`, { immutable: true, maxAge: '1y', index: false }),
  );
  app.use(express.static(deps.pageDir, { maxAge: 0 }));
  app.get('/{*path}', (_request, response) => response.sendFile('index.html', { root: deps.pageDir }));
  app.use(answerFault(deps.log));
  return app;
}

const securityHeaders = {
  contentSecurityPolicy: {
    useDefaults: false,
    directives: {
      defaultSrc: ["'none'"],
      scriptSrc: ["'self'"],
      styleSrc: ["'self'"],
      imgSrc: ["'self'", 'data:'],
      fontSrc: ["'self'"],
      connectSrc: ["'self'"],
      manifestSrc: ["'self'"],
      workerSrc: ["'self'"],
      baseUri: ["'none'"],
      formAction: ["'self'"],
      frameAncestors: ["'none'"],
      objectSrc: ["'none'"],
    },
  },
  // plain http on loopback: promising https for a year would lock the page out
  strictTransportSecurity: false,
};

/**
 * On a loopback address only pages served here may speak to us: a name that resolves to it, or a request
 * made by another site's page, is turned away.
 */
const onlyFromHere: RequestHandler = (request, _response, next) => {
  if (!isOwnHost(request.headers.host)) {
    const message = `The host "${request.headers.host ?? ''}" is not this machine; open http://127.0.0.1 or http://localhost.`;
    throw new Fault({ code: 'forbidden-origin', message });
  }
  const { origin } = request.headers;
  if (origin !== undefined && !isOwnOrigin(origin, request.headers.host)) {
    throw new Fault({
      code: 'forbidden-origin',
      message: `A page from ${origin} may not speak to this daemon.`,
    });
  }
  next();
};

/** True for a Host header that names the loopback interface. */
export function isOwnHost(host: string | undefined): boolean {
  return /^(localhost|127(\.\d{1,3}){3}|\[::1\])(:\d+)?$/i.test(host ?? '');
}

/** True for an Origin header that is the page served at that host. */
export function isOwnOrigin(origin: string, host: string | undefined): boolean {
  return origin === `http://${host ?? ''}`;
}

function answerFault(log: Log): ErrorRequestHandler {
  return (cause: unknown, request, response, _next) => {
    const fault = faultOf(cause);
    const status = fault ? (STATUS_OF[fault.code] ?? 400) : 500;
    if (!fault) {
      const error = cause instanceof Error ? (cause.stack ?? cause.message) : String(cause);
      log.error('a request failed', { path: request.path, error });
    }
    const error = fault
      ? { code: fault.code, message: fault.message, details: fault.details }
      : { code: 'internal', message: 'The daemon failed at this request; its log says why.', details: {} };
    response.status(status).json({ error });
  };
}

/** Faults as they are; what the body parser refuses as a bad request; null for mistakes of our own. */
function faultOf(cause: unknown): Fault | null {
  if (cause instanceof Fault) return cause;
  if (!(cause instanceof Error) || !('status' in cause) || typeof cause.status !== 'number') return null;
  if (cause.status >= 500) return null;
  return new Fault({ code: 'bad-request', message: `The request cannot be read: ${cause.message}.`, cause });
}

function listenFault(cause: NodeJS.ErrnoException, { host, port }: HttpDeps): Fault {
  if (cause.code === 'EADDRINUSE') {
    const message =
      `STRIKEWELL_HTTP_PORT ${port} is in use on ${host}: is Strikewell running already? ` +
      'Stop it, or choose another port.';
    return new Fault({ code: 'port-in-use', message, cause });
  }
  const message = `The page cannot be served on ${host}:${port}: ${cause.message}.`;
  return new Fault({ code: 'bad-setting', message, cause });
}
