import { createServer, type Server } from 'node:http';
import { createServer as createSecureServer, type Server as SecureServer } from 'node:https';
import express, { type Express, type RequestHandler } from 'express';
import helmet, { strictTransportSecurity } from 'helmet';
import { Fault } from '../../../shared/faults.ts';
import { isPagePath } from '../../../shared/page-routes.ts';
import { ACCESS_ROUTES } from '../../../shared/routes/access.ts';
import { ALARM_ROUTES } from '../../../shared/routes/alarms.ts';
import { CHECK_ROUTES } from '../../../shared/routes/checks.ts';
import { ADVICE_ROUTES } from '../../../shared/routes/cuttings/advice.ts';
import { BATCH_ROUTES } from '../../../shared/routes/cuttings/batches.ts';
import { CARE_ROUTES } from '../../../shared/routes/cuttings/care.ts';
import { DIARY_ROUTES, PHOTO_ROUTES } from '../../../shared/routes/cuttings/diary.ts';
import { CUTTINGS_EXCHANGE_ROUTES, CUTTINGS_IMPORT_ROUTES } from '../../../shared/routes/cuttings/import.ts';
import { PREPARATION_ROUTES } from '../../../shared/routes/cuttings/preparations.ts';
import { REPORT_ROUTES } from '../../../shared/routes/cuttings/report.ts';
import { ROOTING_ROUTES } from '../../../shared/routes/cuttings/rooting.ts';
import { SHEET_ROUTES } from '../../../shared/routes/cuttings/sheets.ts';
import { DEVICE_ROUTES } from '../../../shared/routes/devices.ts';
import { EXCHANGE_ROUTES } from '../../../shared/routes/exchange.ts';
import { HOUSE_ROUTES, LIVENESS_ROUTES, METRICS_ROUTES } from '../../../shared/routes/house.ts';
import { ARCHIVE_ROUTES, WAITING_ROUTES } from '../../../shared/routes/lifecycle.ts';
import { LIVE_ROUTES } from '../../../shared/routes/live.ts';
import { MESSAGE_ROUTES } from '../../../shared/routes/messages.ts';
import { LINK_ROUTES, PEOPLE_ROUTES } from '../../../shared/routes/people.ts';
import { PLACE_ROUTES } from '../../../shared/routes/places.ts';
import type { BackupService } from '../../domain/backups/backup-service.ts';
import { createLogPace } from '../../domain/limits/log-pace.ts';
import type { Limits } from '../../domain/limits/table.ts';
import type {
  Access,
  ArchiveService,
  BatchService,
  CheckService,
  CuttingsExchange,
  DeviceService,
  DiaryService,
  Exchange,
  ForeignMessages,
  Log,
  NightPdf,
  Orders,
  PeopleService,
  Queries,
  SheetService,
  StatusService,
  Timers,
  WaitingService,
} from '../../ports.ts';
import { assets } from './assets.ts';
import type { AuthGuard } from './auth-guard.ts';
import { compressedJson } from './compressed.ts';
import { boundConnections, type ConnectionDeps } from './connections.ts';
import { sayNoPage } from './no-page.ts';
import { answerFault } from './problem.ts';
import { addRoutes } from './router.ts';
import { accessHandlers } from './routes/access.ts';
import { adviceHandlers } from './routes/advice.ts';
import { alarmHandlers } from './routes/alarms.ts';
import { checkHandlers } from './routes/checks.ts';
import { batchHandlers } from './routes/cuttings/batches.ts';
import { careHandlers } from './routes/cuttings/care.ts';
import { diaryHandlers, photoHandlers } from './routes/cuttings/diary.ts';
import { cuttingsExchangeHandlers, cuttingsImportHandlers } from './routes/cuttings/import.ts';
import { preparationHandlers } from './routes/cuttings/preparations.ts';
import { reportHandlers } from './routes/cuttings/report.ts';
import { rootingHandlers } from './routes/cuttings/rooting.ts';
import { sheetHandlers } from './routes/cuttings/sheets.ts';
import { deviceHandlers } from './routes/devices.ts';
import { exchangeHandlers, type KeepOpen } from './routes/exchange.ts';
import { houseHandlers } from './routes/house.ts';
import { archiveHandlers, waitingHandlers } from './routes/lifecycle.ts';
import { linkHandlers } from './routes/links.ts';
import { messageHandlers } from './routes/messages.ts';
import { peopleHandlers } from './routes/people.ts';
import { placeHandlers } from './routes/places.ts';
import { liveHandlers, livenessHandlers, metricsHandlers } from './routes/status.ts';

/** Largest body a request may have. */
export const MAX_BODY_BYTES = 64 * 1024;

/** How often node looks for heads of requests that are late, ms. */
const CHECK_EVERY_MS = 2_000;

type HttpDeps = {
  readonly host: string;
  readonly port: number;
  readonly queries: Queries;
  readonly orders: Orders;
  readonly nightPdf: NightPdf;
  readonly people: PeopleService;
  readonly checks: CheckService;
  readonly batches: BatchService;
  readonly sheets: SheetService;
  readonly diary: DiaryService;
  readonly cuttings: CuttingsExchange;
  readonly backups: BackupService;
  readonly exchange: Exchange;
  readonly foreignMessages: ForeignMessages;
  readonly devices: DeviceService;
  readonly waiting: WaitingService;
  readonly archive: ArchiveService;
  readonly status: StatusService;
  /** what a program that collects metrics shows in place of a sign-in; null for none */
  readonly metricsToken: string | null;
  readonly access: Access;
  readonly authGuard: AuthGuard;
  /** certificate and key, PEM, when the page is served over https */
  readonly tls: { readonly cert: Buffer; readonly key: Buffer } | null;
  readonly log: Log;
  /** folder of the built page */
  readonly pageDir: string;
  readonly nowMs: () => number;
  readonly limits: Limits;
  readonly timers: Pick<Timers, 'every'>;
  /** addresses of proxies, each of which carries many */
  readonly trustedProxies: readonly string[];
  readonly turnedAway: ConnectionDeps['turnedAway'];
};

/**
 * Serves the page and the interface under /api/v1.
 * @throws Fault `port-in-use` or `bad-setting` when it cannot listen
 */
export async function startHttp(deps: HttpDeps): Promise<Server | SecureServer> {
  const lateBound: LateBound = { keepOpen: () => undefined };
  const server = serverFor(deps, lateBound);
  await new Promise<void>((resolve, reject) => {
    server.once('error', (cause: NodeJS.ErrnoException) => reject(listenFault(cause, deps)));
    server.listen(deps.port, deps.host, resolve);
  });
  lateBound.keepOpen = bound(server, deps);
  return server;
}

/** What exists only once there is a server. */
type LateBound = { keepOpen: KeepOpen };

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

function serverFor(deps: HttpDeps, lateBound: LateBound): Server | SecureServer {
  const { httpHeaderBytes, httpHeadersWithinMs } = deps.limits;
  const options = { maxHeaderSize: httpHeaderBytes, connectionsCheckingInterval: CHECK_EVERY_MS };
  const app = createApp(deps, lateBound);
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

function createApp(deps: HttpDeps, lateBound: LateBound): Express {
  const app = express();
  app.disable('x-powered-by');
  app.use(helmet(securityHeaders));
  app.use(pinHttps(deps.authGuard));
  addRoutes(app, LIVENESS_ROUTES, livenessHandlers(deps));
  // a link is the permission for what it does, wherever its mail is read
  addRoutes(app, LINK_ROUTES, linkHandlers(deps));
  app.use(deps.authGuard.onlyFromHere);
  addRoutes(app, METRICS_ROUTES, metricsHandlers(deps));
  addRoutes(app, LIVE_ROUTES, liveHandlers);
  // before any route under it, and by the router's own reading of the address
  app.use('/api', deps.authGuard.guard);
  app.use('/api', compressedJson());
  addApi(app, deps, lateBound);
  app.use('/api', () => {
    throw new Fault({
      code: 'not-found',
      message: 'There is nothing at this address; see /api/v1/openapi.json.',
    });
  });
  app.use('/assets', assets(`${deps.pageDir}/assets`));
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

function addApi(app: Express, deps: HttpDeps, lateBound: LateBound): void {
  const keepOpen: KeepOpen = (request, response) => lateBound.keepOpen(request, response);
  // before anything reads bodies: a file of readings is accepted as it comes
  addRoutes(app, EXCHANGE_ROUTES, exchangeHandlers({ ...deps, keepOpen }));
  const named = { ...deps, nameOf: deps.authGuard.nameOf };
  addRoutes(app, PHOTO_ROUTES, photoHandlers({ ...named, keepOpen }));
  addRoutes(app, CUTTINGS_EXCHANGE_ROUTES, cuttingsExchangeHandlers({ ...deps, keepOpen }));
  app.use('/api/v1', express.json({ limit: MAX_BODY_BYTES, strict: true }));
  addRoutes(app, HOUSE_ROUTES, houseHandlers(deps));
  addRoutes(app, PLACE_ROUTES, placeHandlers(deps));
  addRoutes(app, ADVICE_ROUTES, adviceHandlers(deps));
  addRoutes(app, BATCH_ROUTES, batchHandlers(deps));
  addRoutes(app, CARE_ROUTES, careHandlers(deps));
  addRoutes(app, PREPARATION_ROUTES, preparationHandlers(deps));
  addRoutes(app, ROOTING_ROUTES, rootingHandlers(deps));
  addRoutes(app, REPORT_ROUTES, reportHandlers(deps));
  addRoutes(app, CUTTINGS_IMPORT_ROUTES, cuttingsImportHandlers(deps));
  addRoutes(app, DIARY_ROUTES, diaryHandlers(named));
  addRoutes(app, ALARM_ROUTES, alarmHandlers(named));
  addRoutes(app, PEOPLE_ROUTES, peopleHandlers(deps));
  addRoutes(app, CHECK_ROUTES, checkHandlers(named));
  addRoutes(app, SHEET_ROUTES, sheetHandlers(named));
  addRoutes(app, DEVICE_ROUTES, deviceHandlers(deps));
  addRoutes(app, WAITING_ROUTES, waitingHandlers(named));
  addRoutes(app, ARCHIVE_ROUTES, archiveHandlers(named));
  addRoutes(app, MESSAGE_ROUTES, messageHandlers(deps));
  addRoutes(app, ACCESS_ROUTES, accessHandlers(deps));
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
 * How long a browser comes back encrypted only, s; each visit begins it again. A month, as whoever takes the certificate
 * away again is locked out for so long.
 */
const PIN_HTTPS_S = 30 * 86_400;

function pinHttps(authGuard: AuthGuard): RequestHandler {
  // the host's other names and ports may be other programs'
  const pin = strictTransportSecurity({ maxAge: PIN_HTTPS_S, includeSubDomains: false });
  return (request, response, next) => (authGuard.mayPin(request) ? pin(request, response, next) : next());
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
