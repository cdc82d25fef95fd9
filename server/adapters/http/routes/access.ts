import type { Request, Response } from 'express';
import { Fault } from '../../../../shared/faults.ts';
import type { ACCESS_ROUTES } from '../../../../shared/routes/access.ts';
import type { Access, Guest, SignedIn } from '../../../ports.ts';
import type { AuthGuard } from '../auth-guard.ts';
import { pageOf } from '../paging.ts';
import type { Handlers } from '../router.ts';

type AccessRouteDeps = { readonly access: Access; readonly authGuard: AuthGuard };
type Exchange = { readonly request: Request; readonly response: Response };

/** /api/v1/access: who asks, accounts, sessions, and the login of devices. */
export function accessHandlers(deps: AccessRouteDeps): Handlers<typeof ACCESS_ROUTES> {
  const { access, authGuard } = deps;
  const answer = (request: Request, guest: Guest | null) =>
    access.answer({ guest, encrypted: authGuard.isEncrypted(request) });
  const welcome = ({ request, response }: Exchange, { guest, token }: SignedIn) => {
    response.setHeader('set-cookie', authGuard.cookieFor(request, token));
    return answer(request, guest);
  };
  return {
    'get /api/v1/access': ({ request }) => answer(request, authGuard.guestOf(request)),
    'put /api/v1/access/owner': async ({ body, ...asked }) =>
      welcome(asked, await access.setOwner(body.password, authGuard.askerOf(asked.request))),
    'post /api/v1/access/sign-in': async ({ body, ...asked }) => {
      const { askerOf, siteOf } = authGuard;
      const done = await access.signIn(body, askerOf(asked.request), siteOf(asked.request));
      if (!('passkey' in done)) return welcome(asked, done);
      asked.response.status(202);
      return done;
    },
    'post /api/v1/access/sign-in/passkey': async ({ body, ...asked }) =>
      welcome(asked, await access.signInWithPasskey(body, authGuard.askerOf(asked.request))),
    'post /api/v1/access/sign-out': ({ request, response }) => {
      const guest = authGuard.guestOf(request);
      if (guest !== null) access.signOut(guest);
      response.setHeader('set-cookie', authGuard.cookieFor(request, null));
      return answer(request, null);
    },
    'put /api/v1/access/password': async ({ body, request }) => {
      const guest = requireGuest(authGuard.guestOf(request));
      await access.changePassword(guest, body, authGuard.askerOf(request));
      return answer(request, guest);
    },
    'post /api/v1/access/confirm': async ({ body, request }) =>
      access.confirm(requireGuest(authGuard.guestOf(request)), body.password, authGuard.askerOf(request)),
    'post /api/v1/access/password-check': async ({ body: { password, name } }) => ({
      problem: await access.passwordProblem(password, name === undefined ? [] : [name]),
    }),
    'get /api/v1/access/sessions': ({ query, request }) => {
      const page = pageOf(access.sessions(authGuard.guestOf(request)), query, { keyOf: ({ id }) => id });
      return { sessions: page.rows, ...page.next };
    },
    'delete /api/v1/access/sessions/{id}': ({ params, request }) =>
      access.endSession(authGuard.guestOf(request), params.id, authGuard.actorOf(request)),
    ...accountHandlers(deps),
    ...passkeyHandlers(deps),
  };
}

function accountHandlers({ access, authGuard: { actorOf } }: AccessRouteDeps) {
  return {
    'get /api/v1/access/events': ({ query: { limit, cursor } }) =>
      access.events({ limit, beforeId: cursor ?? null }),
    'get /api/v1/access/accounts': ({ query }) => {
      const page = pageOf(access.accounts(), query, { keyOf: ({ id }) => id });
      return { accounts: page.rows, ...page.next };
    },
    'post /api/v1/access/accounts': ({ body, request }) => access.addAccount(body, actorOf(request)),
    'patch /api/v1/access/accounts/{id}': ({ params, body, request }) =>
      access.patchAccount(params.id, body, actorOf(request)),
    'delete /api/v1/access/accounts/{id}': ({ params, request }) =>
      access.removeAccount(params.id, actorOf(request)),
    'get /api/v1/access/tokens': () => ({ tokens: access.tokens() }),
    'post /api/v1/access/tokens': ({ body, request }) => access.addToken(body, actorOf(request)),
    'delete /api/v1/access/tokens/{id}': ({ params, request }) =>
      access.removeToken(params.id, actorOf(request)),
    'get /api/v1/access/device-login': () => ({ deviceLogin: access.deviceLogin() }),
    'put /api/v1/access/device-login': ({ body, request }) =>
      access.makeDeviceLogin(body.name, actorOf(request)),
  } satisfies Partial<Handlers<typeof ACCESS_ROUTES>>;
}

function passkeyHandlers({ access, authGuard: { guestOf, actorOf, siteOf } }: AccessRouteDeps) {
  return {
    'get /api/v1/access/passkeys': ({ request }) => {
      const guest = guestOf(request);
      return { passkeys: guest === null ? [] : access.passkeys(guest) };
    },
    'post /api/v1/access/passkeys/offer': ({ request }) =>
      access.offerPasskey(requireGuest(guestOf(request)), siteOf(request)),
    'post /api/v1/access/passkeys': ({ body, request }) =>
      access.addPasskey(requireGuest(guestOf(request)), body, actorOf(request)),
    'delete /api/v1/access/passkeys/{id}': ({ params, request }) =>
      access.removePasskey(requireGuest(guestOf(request)), params.id, actorOf(request)),
  } satisfies Partial<Handlers<typeof ACCESS_ROUTES>>;
}

function requireGuest(guest: Guest | null): Guest {
  if (guest !== null) return guest;
  throw new Fault({ code: 'bad-request', message: 'Nobody is signed in; set the owner password first.' });
}
