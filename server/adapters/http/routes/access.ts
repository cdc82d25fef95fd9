import type { Request, Response } from 'express';
import { Fault } from '../../../../shared/faults.ts';
import type { ACCESS_ROUTES } from '../../../../shared/routes/access.ts';
import type { Access, Guest, SignedIn } from '../../../ports.ts';
import type { Doorkeeper } from '../doorkeeper.ts';
import { pageOf } from '../paging.ts';
import type { Handlers } from '../router.ts';

export type AccessRouteDeps = { readonly access: Access; readonly doorkeeper: Doorkeeper };
type Exchange = { readonly request: Request; readonly response: Response };

/** /api/v1/access: who asks, accounts, sessions, and the login of devices. */
export function accessHandlers(deps: AccessRouteDeps): Handlers<typeof ACCESS_ROUTES> {
  const { access, doorkeeper } = deps;
  const answer = (request: Request, guest: Guest | null) =>
    access.answer({ guest, encrypted: doorkeeper.isEncrypted(request) });
  const welcome = ({ request, response }: Exchange, { guest, token }: SignedIn) => {
    response.setHeader('set-cookie', doorkeeper.cookieFor(request, token));
    return answer(request, guest);
  };
  return {
    'get /api/v1/access': ({ request }) => answer(request, doorkeeper.guestOf(request)),
    'put /api/v1/access/owner': async ({ body, ...asked }) =>
      welcome(asked, await access.setOwner(body.password, doorkeeper.askerOf(asked.request))),
    'post /api/v1/access/sign-in': async ({ body, ...asked }) =>
      welcome(asked, await access.signIn(body, doorkeeper.askerOf(asked.request))),
    'post /api/v1/access/sign-out': ({ request, response }) => {
      const guest = doorkeeper.guestOf(request);
      if (guest !== null) access.signOut(guest);
      response.setHeader('set-cookie', doorkeeper.cookieFor(request, null));
      return answer(request, null);
    },
    'put /api/v1/access/password': async ({ body, request }) => {
      const guest = doorkeeper.guestOf(request);
      if (guest === null) {
        throw new Fault({
          code: 'bad-request',
          message: 'Nobody is signed in; set the owner password first.',
        });
      }
      await access.changePassword(guest, body, doorkeeper.askerOf(request));
      return answer(request, guest);
    },
    'get /api/v1/access/sessions': ({ query, request }) => {
      const page = pageOf(access.sessions(doorkeeper.guestOf(request)), query, { keyOf: ({ id }) => id });
      return { sessions: page.rows, ...page.next };
    },
    'delete /api/v1/access/sessions/{id}': ({ params, request }) =>
      access.endSession(doorkeeper.guestOf(request), params.id),
    ...accountHandlers(access),
  };
}

function accountHandlers(access: Access) {
  return {
    'get /api/v1/access/accounts': ({ query }) => {
      const page = pageOf(access.accounts(), query, { keyOf: ({ id }) => id });
      return { accounts: page.rows, ...page.next };
    },
    'post /api/v1/access/accounts': ({ body }) => access.addAccount(body),
    'patch /api/v1/access/accounts/{id}': ({ params, body }) => access.patchAccount(params.id, body),
    'delete /api/v1/access/accounts/{id}': ({ params }) => access.removeAccount(params.id),
    'get /api/v1/access/device-login': () => ({ deviceLogin: access.deviceLogin() }),
    'put /api/v1/access/device-login': ({ body }) => access.makeDeviceLogin(body.name),
  } satisfies Partial<Handlers<typeof ACCESS_ROUTES>>;
}
