import type { IncomingMessage } from 'node:http';
import type { RequestHandler } from 'express';
import { Fault } from '../../../shared/faults.ts';
import type { TokenScope } from '../../../shared/model/people/access.ts';
import { LIVE_ROUTES } from '../../../shared/routes/live.ts';
import { clientAddress, isLoopback, plainAddress } from '../../domain/access/address.ts';
import { confirmNeeded } from '../../domain/access/confirm-needed.ts';
import { mayPinHttps, passkeySite } from '../../domain/access/passkey.ts';
import { isReadable, mayUse, neededFor, needsConfirming } from '../../domain/access/routes.ts';
import { SESSION_LASTS_MS } from '../../domain/access/session.ts';
import type { Viewer } from '../../domain/limits/pages.ts';
import type { Access, Actor, Asker, Guest, Site } from '../../ports.ts';
import { readFromElsewhere, scopeShown } from './programs.ts';

type AuthGuardDeps = {
  readonly access: Access;
  /** whether the page is served encrypted here */
  readonly tls: boolean;
  /** addresses whose X-Forwarded-For and X-Forwarded-Proto are believed */
  readonly trustedProxies: readonly string[];
  /** where others than this machine reach the page, or null */
  readonly publicUrl: string | null;
  /** pages elsewhere whose scripts may read, with a token once anybody has to sign in */
  readonly readingOrigins?: readonly string[];
};

/** A connection that was let in: whether it still may stay. */
type Admission = { readonly viewer: Viewer; readonly stillHolds: () => boolean };

/** Knows who asks, by the cookie of the request, and lets in whom the installation answers. */
export type AuthGuard = {
  /** Turns away requests that another site's page makes, or, while nobody signs in, that name another host. */
  readonly onlyFromHere: RequestHandler;
  /** Turns away who may not use the route. */
  readonly guard: RequestHandler;
  /** Whether a websocket may be opened; null when not. */
  admits(request: IncomingMessage): Admission | null;
  guestOf(request: IncomingMessage): Guest | null;
  /** What the token that a program shows may read; null where it shows none that is known. */
  scopeOf(request: IncomingMessage): TokenScope | null;
  /** Name of who asks, for the record of what was done; null while nobody signs in. */
  nameOf(request: IncomingMessage): string | null;
  askerOf(request: IncomingMessage): Asker;
  /** Who changes something, and from where. */
  actorOf(request: IncomingMessage): Actor;
  /** The page as WebAuthn names it; null where no passkey can be used. */
  siteOf(request: IncomingMessage): Site | null;
  /** Whether the browser may be asked to come back encrypted only. */
  mayPin(request: IncomingMessage): boolean;
  isEncrypted(request: IncomingMessage): boolean;
  /** The Set-Cookie of a session; null ends it. */
  cookieFor(request: IncomingMessage, token: string | null): string;
};

/** Guards page, interface and websocket. */
export function createAuthGuard(deps: AuthGuardDeps): AuthGuard {
  const { access, tls, trustedProxies, publicUrl, readingOrigins = [] } = deps;
  const fromProxy = ({ socket }: IncomingMessage) =>
    trustedProxies.includes(plainAddress(socket.remoteAddress ?? ''));
  const isEncrypted = (request: IncomingMessage) =>
    tls || (fromProxy(request) && request.headers['x-forwarded-proto'] === 'https');
  const addressOf = ({ socket, headers }: IncomingMessage) =>
    clientAddress({
      remote: socket.remoteAddress ?? '',
      forwardedFor: headerText(headers['x-forwarded-for']),
      trusted: trustedProxies,
    });
  const guestOf = (request: IncomingMessage) =>
    access.closed() ? access.guestOf(tokenIn(request, isEncrypted(request))) : null;
  const scopeOf = (request: IncomingMessage) => scopeShown(request, access);
  const strangeness = (request: IncomingMessage): string | null => {
    const { host, origin } = request.headers;
    if (!access.closed() && !isOwnHost(host)) {
      return `The host "${host ?? ''}" is not this machine; open http://127.0.0.1 or http://localhost.`;
    }
    const own = `${isEncrypted(request) ? 'https' : 'http'}://${host ?? ''}`;
    if (origin === undefined || origin === own) return null;
    return `A page from ${origin} may not speak to this daemon.`;
  };
  const admission = (request: IncomingMessage) =>
    admissionOf({
      access,
      address: addressOf(request),
      guest: guestOf(request),
      scope: () => scopeOf(request),
    });
  return {
    onlyFromHere(request, response, next) {
      const elsewhere = readFromElsewhere(request, response, readingOrigins);
      if (elsewhere === 'answered') return;
      const message = elsewhere === 'reads' ? null : strangeness(request);
      if (message !== null) throw new Fault({ code: 'forbidden-origin', message });
      next();
    },
    guard(request, response, next) {
      if (access.closed()) {
        response.setHeader('cache-control', 'no-store');
        const guest = guestOf(request);
        const route = { method: request.method, path: `${request.baseUrl}${request.path}` };
        if (!(guest === null && isReadable(route) && scopeOf(request) === 'read')) requireRole(guest, route);
        if (guest !== null && needsConfirming(route) && !access.confirmed(guest)) throw confirmNeeded();
      }
      next();
    },
    admits: (request) => orElse(() => (strangeness(request) === null ? admission(request) : null), null),
    guestOf,
    scopeOf,
    nameOf: (request) => guestOf(request)?.name ?? null,
    askerOf: (request) => ({ address: addressOf(request), agent: request.headers['user-agent'] ?? '' }),
    actorOf: (request) => ({ name: guestOf(request)?.name ?? null, address: addressOf(request) }),
    siteOf: (request) =>
      passkeySite({ host: request.headers.host, encrypted: isEncrypted(request), publicUrl }),
    mayPin: (request) => mayPinHttps({ host: request.headers.host, encrypted: isEncrypted(request) }),
    isEncrypted,
    cookieFor(request, token) {
      const secure = isEncrypted(request);
      const ageS = token === null ? 0 : SESSION_LASTS_MS / 1000;
      const attributes = `Path=/; HttpOnly; SameSite=Strict; Max-Age=${ageS}${secure ? '; Secure' : ''}`;
      return `${cookieName(secure)}=${token ?? ''}; ${attributes}`;
    },
  };
}

type Entering = {
  readonly access: Access;
  readonly address: string;
  readonly guest: Guest | null;
  readonly scope: () => TokenScope | null;
};

/** Who may stay connected, and for how long: as long as what let them in holds. */
function admissionOf({ access, address, guest, scope }: Entering): Admission | null {
  const nobody = { accountId: null, isOwner: false, address };
  if (!access.closed()) return { viewer: nobody, stillHolds: () => orElse(() => !access.closed(), false) };
  if (guest === null) {
    const reads = () => scope() === 'read';
    return reads() ? { viewer: nobody, stillHolds: () => orElse(reads, false) } : null;
  }
  if (!mayUse(guest.role, LIVE_ROUTES['get /live'].role)) return null;
  const viewer = { accountId: guest.accountId, isOwner: guest.role === 'own', address };
  return { viewer, stillHolds: () => orElse(() => access.holds(guest.sessionId), false) };
}

/** A record that cannot be read lets nobody in. */
function orElse<T>(ask: () => T, otherwise: T): T {
  try {
    return ask();
  } catch (cause) {
    if (cause instanceof Fault) return otherwise;
    throw cause;
  }
}

function requireRole(guest: Guest | null, route: { method: string; path: string }): void {
  const needed = neededFor(route);
  if (needed !== null && mayUse(guest?.role ?? null, needed)) return;
  if (guest === null) {
    throw new Fault({ code: 'sign-in-needed', message: 'Sign in first, with an account of this house.' });
  }
  const message =
    needed === null
      ? 'No role is stated for this address, so it answers nobody; see /api/v1/openapi.json.'
      : `"${guest.name}" has the role ${guest.role}; this needs the role ${needed}. Ask who owns the house.`;
  throw new Fault({ code: 'not-allowed', message });
}

/** A browser lets no plain page and no other host name set a cookie whose name begins so. */
function cookieName(secure: boolean): string {
  return secure ? '__Host-strikewell' : 'strikewell';
}

function tokenIn({ headers }: IncomingMessage, secure: boolean): string | null {
  const start = `${cookieName(secure)}=`;
  const pair = (headers.cookie ?? '').split(/;\s*/).find((one) => one.startsWith(start));
  const token = pair?.slice(start.length) ?? '';
  return token === '' ? null : token;
}

function headerText(value: string | string[] | undefined): string | undefined {
  return Array.isArray(value) ? value.join(',') : value;
}

/** True for a Host header that names the loopback interface. */
function isOwnHost(host: string | undefined): boolean {
  const [, name = ''] = /^(\[::1\]|[^:]*)(?::\d+)?$/.exec(host ?? '') ?? [];
  return isLoopback(name.replace(/^\[|\]$/g, ''));
}
