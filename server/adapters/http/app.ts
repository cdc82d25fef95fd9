import { createServer, type Server } from 'node:http';
import { createServer as createSecureServer, type Server as SecureServer } from 'node:https';
import express, { type ErrorRequestHandler, type Express, type RequestHandler } from 'express';
import helmet, { strictTransportSecurity } from 'helmet';
import { Fault, type FaultCode } from '../../../shared/faults.ts';
import { isPagePath } from '../../../shared/page-routes.ts';
import type { BackupDesk } from '../../domain/backups/doors.ts';
import { createLogPace } from '../../domain/limits/log-pace.ts';
import type { Limits } from '../../domain/limits/table.ts';
import type {
  Access,
  ArchiveDesk,
  CheckDesk,
  DeviceDesk,
  Exchange,
  Hearing,
  Log,
  Orders,
  PeopleDesk,
  Queries,
  StatusDesk,
  Timers,
  WaitingDesk,
} from '../../ports.ts';
import { boundConnections, type ConnectionDeps } from './connections.ts';
import type { Doorkeeper } from './doorkeeper.ts';
import { sayNoPage } from './no-page.ts';
import { openapi } from './openapi.ts';
import { accessRoutes } from './routes/access.ts';
import { alarmRoutes } from './routes/alarms.ts';
import { answerRoutes } from './routes/answer.ts';
import { checkRoutes } from './routes/checks.ts';
import { deviceRoutes } from './routes/devices.ts';
import { exchangeRoutes, type KeepOpen } from './routes/exchange.ts';
import { hearingRoutes } from './routes/hearing.ts';
import { houseRoutes } from './routes/house.ts';
import { lifecycleRoutes } from './routes/lifecycle.ts';
import { peopleRoutes } from './routes/people.ts';
import { placeRoutes } from './routes/places.ts';
import { livenessRoutes, metricsRoutes } from './routes/status.ts';

/** Largest body a request may have. */
export const MAX_BODY_BYTES = 64 * 1024;

/** How often node looks for heads of requests that are late, ms. */
const CHECK_EVERY_MS = 2_000;

export type HttpDeps = {
  readonly host: string;
  readonly port: number;
  readonly queries: Queries;
  readonly orders: Orders;
  readonly people: PeopleDesk;
  readonly checks: CheckDesk;
  readonly backups: BackupDesk;
  readonly exchange: Exchange;
  readonly hearing: Hearing;
  readonly devices: DeviceDesk;
  readonly waiting: WaitingDesk;
  readonly archive: ArchiveDesk;
  readonly status: StatusDesk;
  /** what a program that collects metrics shows in place of a sign-in; null for none */
  readonly metricsToken: string | null;
  readonly access: Access;
  readonly doorkeeper: Doorkeeper;
  /** certificate and key, PEM, when the page is served over https */
  readonly tls: { readonly cert: Buffer; readonly key: Buffer } | null;
  readonly log: Log;
  /** folder of the built page */
  readonly pageDir: string;
  readonly nowMs: () => number;
  readonly limits: Limits;
  readonly timers: Pick<Timers, 'every'>;
  /** addresses of proxies, each of which speaks for many */
  readonly trustedProxies: readonly string[];
  readonly turnedAway: ConnectionDeps['turnedAway'];
};

const STATUS_OF: Partial<Record<FaultCode, number>> = {
  'not-found': 404,
  'bad-request': 400,
  'forbidden-origin': 403,
  'sign-in-needed': 401,
  'sign-in-failed': 401,
  'not-allowed': 403,
  'confirm-needed': 403,
  'passkey-needed': 401,
  'too-many-attempts': 429,
  'store-failed': 503,
};

/**
 * Serves the page and the interface under /api/v1.
 * @throws Fault `port-in-use` or `bad-setting` when it cannot listen
 */
export async function startHttp(deps: HttpDeps): Promise<Server | SecureServer> {
  const late: Late = { keepOpen: () => undefined };
  const server = serverFor(deps, late);
  await new Promise<void>((resolve, reject) => {
    server.once('error', (cause: NodeJS.ErrnoException) => reject(listenFault(cause, deps)));
    server.listen(deps.port, deps.host, resolve);
  });
  late.keepOpen = bound(server, deps);
  return server;
}

/** What exists only once there is a server. */
type Late = { keepOpen: KeepOpen };

function bound(server: Server | SecureServer, deps: HttpDeps): KeepOpen {
  const { limits, timers, nowMs, trustedProxies, turnedAway, log } = deps;
  const pace = createLogPace(limits.refusalLinesPerMinute);
  const { keepOpen, stop } = boundConnections(server, {
    limits,
    every: timers.every,
    nowMs,
    turnedAway,
    isExempt: (address) => trustedProxies.includes(address),
    warn: (message, error) => {
      if (pace(message, nowMs()).write) log.warn(message, { error: error.message });
    },
  });
  server.once('close', stop);
  return keepOpen;
}

function serverFor(deps: HttpDeps, late: Late): Server | SecureServer {
  const { httpHeaderBytes, httpHeadersWithinMs } = deps.limits;
  const options = { maxHeaderSize: httpHeaderBytes, connectionsCheckingInterval: CHECK_EVERY_MS };
  const app = createApp(deps, late);
  if (deps.tls === null) return createServer(options, app);
  try {
    return createSecureServer({ ...options, ...deps.tls, handshakeTimeout: httpHeadersWithinMs }, app);
  } catch (cause) {
    // the words of the library name no part of the key
    const why = cause instanceof Error ? cause.message : String(cause);
    const message = `STRIKEWELL_TLS_CERT and STRIKEWELL_TLS_KEY cannot be used: ${why}. Give a PEM certificate and its key.`;
    throw new Fault({ code: 'bad-setting', message, details: { key: 'STRIKEWELL_TLS_CERT' }, cause });
  }
}

function createApp(deps: HttpDeps, late: Late): Express {
  const app = express();
  app.disable('x-powered-by');
  app.use(helmet(securityHeaders));
  app.use(pinHttps(deps.doorkeeper));
  app.use(livenessRoutes(deps));
  // a link is the permission for what it does, wherever its mail is read
  app.use('/answer', answerRoutes(deps));
  app.use(deps.doorkeeper.onlyFromHere);
  app.use(metricsRoutes(deps));
  // before any route under it, and by the router's own reading of the address
  app.use('/api', deps.doorkeeper.guard);
  // before anything reads bodies: a file of readings is taken as it comes
  app.use(
    '/api/v1',
    exchangeRoutes({ ...deps, keepOpen: (request, response) => late.keepOpen(request, response) }),
  );
  app.use('/api/v1', express.json({ limit: MAX_BODY_BYTES, strict: true }));
  app.get('/api/v1/openapi.json', (_request, response) => void response.json(openapi));
  app.use('/api/v1/access', accessRoutes(deps));
  app.use('/api/v1/places', placeRoutes(deps));
  app.use('/api/v1/alarms', alarmRoutes({ ...deps, nameOf: deps.doorkeeper.nameOf }));
  app.use('/api/v1', peopleRoutes(deps));
  app.use('/api/v1', hearingRoutes(deps));
  app.use('/api/v1/devices', deviceRoutes(deps));
  app.use('/api/v1', lifecycleRoutes({ ...deps, nameOf: deps.doorkeeper.nameOf }));
  app.use('/api/v1', checkRoutes({ ...deps, nameOf: deps.doorkeeper.nameOf }));
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
  app.use(sayNoPage(deps.pageDir));
  app.use(express.static(deps.pageDir, { maxAge: 0 }));
  app.get('/{*path}', ({ path }, response) => {
    if (!isPagePath(path))
      throw new Fault({ code: 'not-found', message: 'There is no page at this address.' });
    response.sendFile('index.html', { root: deps.pageDir });
  });
  app.use(() => {
    throw new Fault({ code: 'not-found', message: 'There is nothing at this address.' });
  });
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
  // set by pinHttps where it may be: on this machine's own names it would lock other programs out
  strictTransportSecurity: false,
};

/**
 * How long a browser comes back encrypted only, s; each visit begins it anew. A month, as whoever takes the certificate
 * away again is locked out for so long.
 */
const PIN_HTTPS_S = 30 * 86_400;

function pinHttps(doorkeeper: Doorkeeper): RequestHandler {
  // the host's other names and ports may be other programs'
  const pin = strictTransportSecurity({ maxAge: PIN_HTTPS_S, includeSubDomains: false });
  return (request, response, next) => (doorkeeper.mayPin(request) ? pin(request, response, next) : next());
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
    const waitMs = fault?.code === 'too-many-attempts' ? Number(fault.details['waitMs']) : 0;
    if (waitMs > 0) response.setHeader('retry-after', Math.ceil(waitMs / 1000));
    response.status(status).json({ error });
  };
}

/** Faults as they are; what the body parser refuses as a bad request; null for mistakes of our own. */
function faultOf(cause: unknown): Fault | null {
  if (cause instanceof Fault) return cause;
  if (!(cause instanceof Error) || !('status' in cause) || typeof cause.status !== 'number') return null;
  if (cause.status >= 500) return null;
  if ('type' in cause && cause.type === 'entity.parse.failed') {
    // the words of the parser repeat what was sent, which may be a password
    return new Fault({
      code: 'bad-request',
      message: 'The request cannot be read: it is not a JSON object.',
    });
  }
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
