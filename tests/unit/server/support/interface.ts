import { mkdirSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { join } from 'node:path';
import { startHttp } from '../../../../server/adapters/http/app.ts';
import { createAuthGuard } from '../../../../server/adapters/http/auth-guard.ts';
import { commonPasswords } from '../../../../server/adapters/passwords/common.ts';
import { createNightPdf } from '../../../../server/adapters/pdf/night.ts';
import { systemSecrets as secrets } from '../../../../server/adapters/system/secrets.ts';
import { createPasskeyCheck } from '../../../../server/adapters/webauthn/webauthn.ts';
import { createAccess } from '../../../../server/daemon/access/access.ts';
import { createDeviceService } from '../../../../server/daemon/devices/service.ts';
import { LIMITS } from '../../../../server/domain/limits/table.ts';
import { answerFault, jsonIn } from '../../../support/answer-check.ts';
import { temporaryFolder } from '../../../support/folders.ts';
import { freePort } from '../../../support/ports.ts';
import { type HouseOptions, startHouse } from './house.ts';

export type Reply = {
  readonly status: number;
  /** the body read as JSON; null when it is empty, a text when it is none */
  readonly body: unknown;
  readonly headers: Readonly<Record<string, unknown>>;
};

export type Ask = {
  readonly body?: unknown;
  readonly raw?: string | Uint8Array;
  readonly headers?: Readonly<Record<string, string>>;
};

/** The text of the page's first file in these tests. */
export const PAGE = '<!doctype html><title>Strikewell</title>';

type InterfaceOptions = HouseOptions & {
  readonly trustedProxies?: readonly string[];
  readonly metricsToken?: string;
  readonly readingOrigins?: readonly string[];
};

/**
 * The interface on a free port, over the real daemon with a real database.
 *
 * @param options as of the house
 * @returns the house, what the demo was ordered, and how to ask
 */
export async function startInterface(options: InterfaceOptions = {}) {
  const { trustedProxies = [], metricsToken = null, readingOrigins = [] } = options;
  const house = startHouse(options);
  const pageDir = folderOfPage();
  const demo: string[] = [];
  const port = await freePort();
  const access = accessOf(house, () => void demo.push('recheck'));
  const deps = {
    access,
    authGuard: createAuthGuard({ access, tls: false, trustedProxies, publicUrl: null, readingOrigins }),
    tls: null,
    host: '127.0.0.1',
    port,
    log: house.log,
    pageDir,
    nowMs: house.hand.clock.nowMs,
    ...boundsFor(house, { trustedProxies, said: demo }),
    nightPdf: createNightPdf(),
    queries: house.daemon.queries,
    orders: {
      ...house.daemon.orders,
      startDemo: () => void demo.push('start'),
      removeDemo: async () => void demo.push('remove'),
    },
    people: house.daemon.people,
    foreignMessages: house.daemon.foreignMessages,
    checks: house.daemon.checks,
    batches: house.daemon.batches,
    sheets: house.daemon.sheets,
    diary: house.daemon.diary,
    cuttings: house.daemon.cuttings,
    exchange: house.daemon.exchange,
    waiting: house.daemon.waiting,
    archive: house.daemon.archive,
    status: house.daemon.status,
    metricsToken,
    devices: createDeviceService({
      ...house.daemon.devices,
      world: house.daemon.world,
      store: house.store,
      clock: house.hand.clock,
      secrets,
      record: house.store.access,
      onChange: () => void demo.push('recheck'),
      onAdded: house.daemon.waiting.acceptIfWaiting,
      broker: { embedded: true, address: 'mqtt://127.0.0.1:1883', secureAddress: null, user: null },
    }),
    backups: {
      start: () => void demo.push('backup'),
      answer: () => ({ backups: [], running: null, lastError: null, dailyAt: '03:30' }),
    },
  };
  const server = await startHttp(deps);
  const ask = askOn(port);
  return {
    house,
    demo,
    port,
    deps,
    ask,
    get: (path: string, headers: Readonly<Record<string, string>> = {}) => ask('GET', path, { headers }),
    close: () => {
      house.daemon.stop();
      server.closeAllConnections();
      const closed = Promise.withResolvers<void>();
      server.close(() => closed.resolve());
      return closed.promise;
    },
  };
}

/** How an interface is asked; an answer that does not fit the table of routes rejects. */
function askOn(port: number) {
  return (method: string, path: string, { body, raw, headers = {} }: Ask = {}): Promise<Reply> => {
    const content = body === undefined ? raw : JSON.stringify(body);
    const type = content === undefined ? {} : { 'content-type': 'application/json' };
    const { promise, resolve, reject } = Promise.withResolvers<Reply>();
    const sent = request(
      // a connection kept open may be closed from the other side just then
      { host: '127.0.0.1', port, method, path, headers: { ...type, ...headers }, agent: false },
      (reply) => {
        const chunks: Buffer[] = [];
        reply.on('data', (chunk: Buffer) => void chunks.push(chunk));
        reply.on('end', () => {
          const text = Buffer.concat(chunks).toString('utf8');
          const status = reply.statusCode ?? 0;
          const contentType = reply.headers['content-type'] ?? null;
          const fault = answerFault({ method, path, status, contentType, body: jsonIn(text) });
          if (fault === null) resolve({ status, headers: reply.headers, body: readJson(text) });
          else reject(new Error(fault));
        });
      },
    );
    sent.once('error', reject).end(content);
    return promise;
  };
}

type Bounding = { readonly trustedProxies: readonly string[]; readonly said: string[] };

function boundsFor({ hand }: ReturnType<typeof startHouse>, { trustedProxies, said }: Bounding) {
  return {
    trustedProxies,
    limits: LIMITS,
    timers: hand.timers,
    turnedAway: (why: string) => void said.push(why),
  };
}

function folderOfPage(): string {
  const pageDir = temporaryFolder('page');
  mkdirSync(join(pageDir, 'assets'));
  writeFileSync(join(pageDir, 'index.html'), PAGE);
  writeFileSync(join(pageDir, 'assets', 'page-1.js'), 'export {};');
  return pageDir;
}

function accessOf(house: ReturnType<typeof startHouse>, onChange: () => void) {
  return createAccess({
    record: house.store.access,
    secrets,
    common: commonPasswords,
    passkeyCheck: createPasskeyCheck(house.log),
    clock: house.hand.clock,
    log: house.log,
    onChange,
  });
}

export type Interface = Awaited<ReturnType<typeof startInterface>>;

function readJson(text: string): unknown {
  if (text === '') return null;
  try {
    return JSON.parse(text);
  } catch {
    return text;
  }
}
