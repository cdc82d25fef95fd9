import { type Request, type Response, Router } from 'express';
import { Fault } from '../../../../shared/faults.ts';
import {
  accountPatchSchema,
  deviceLoginSchema,
  newAccountSchema,
  ownerPasswordSchema,
  ownPasswordSchema,
  signInSchema,
} from '../../../../shared/model/access.ts';
import type { Access, Guest, SignedIn } from '../../../ports.ts';
import type { Doorkeeper } from '../doorkeeper.ts';
import { readBody } from './read.ts';

export type AccessRouteDeps = { readonly access: Access; readonly doorkeeper: Doorkeeper };

/** /api/v1/access: who asks, accounts, sessions, and the login of devices. */
export function accessRoutes(deps: AccessRouteDeps): Router {
  const { access, doorkeeper } = deps;
  const routes = Router();
  const answer = (request: Request, response: Response, guest: Guest | null) =>
    void response.json(access.answer({ guest, encrypted: doorkeeper.isEncrypted(request) }));
  const welcome = (request: Request, response: Response, { guest, token }: SignedIn) => {
    response.setHeader('set-cookie', doorkeeper.cookieFor(request, token));
    answer(request, response, guest);
  };
  routes.get('/', (request, response) => answer(request, response, doorkeeper.guestOf(request)));
  routes.put('/owner', async (request, response) => {
    const { password } = readBody(ownerPasswordSchema, request.body);
    welcome(request, response, await access.setOwner(password, doorkeeper.askerOf(request)));
  });
  routes.post('/sign-in', async (request, response) => {
    const tried = readBody(signInSchema, request.body);
    welcome(request, response, await access.signIn(tried, doorkeeper.askerOf(request)));
  });
  routes.post('/sign-out', (request, response) => {
    const guest = doorkeeper.guestOf(request);
    if (guest !== null) access.signOut(guest);
    response.setHeader('set-cookie', doorkeeper.cookieFor(request, null));
    answer(request, response, null);
  });
  routes.put('/password', async (request, response) => {
    const order = readBody(ownPasswordSchema, request.body);
    const guest = doorkeeper.guestOf(request);
    if (guest === null) {
      throw new Fault({ code: 'bad-request', message: 'Nobody is signed in; set the owner password first.' });
    }
    await access.changePassword(guest, order, doorkeeper.askerOf(request));
    answer(request, response, guest);
  });
  routes.get('/sessions', (request, response) => {
    response.json({ sessions: access.sessions(doorkeeper.guestOf(request)) });
  });
  routes.delete('/sessions/:id', (request, response) => {
    access.endSession(doorkeeper.guestOf(request), Number(request.params.id));
    response.status(204).end();
  });
  accountRoutes(routes, access);
  return routes;
}

function accountRoutes(routes: Router, access: Access): void {
  routes.get('/accounts', (_request, response) => void response.json({ accounts: access.accounts() }));
  routes.post('/accounts', async ({ body }, response) => {
    response.status(201).json(await access.addAccount(readBody(newAccountSchema, body)));
  });
  routes.patch('/accounts/:id', async ({ params, body }, response) => {
    response.json(await access.patchAccount(Number(params.id), readBody(accountPatchSchema, body)));
  });
  routes.delete('/accounts/:id', ({ params }, response) => {
    access.removeAccount(Number(params.id));
    response.status(204).end();
  });
  routes.get('/device-login', (_request, response) => {
    response.json({ deviceLogin: access.deviceLogin() });
  });
  routes.put('/device-login', ({ body }, response) => {
    response.json(access.makeDeviceLogin(readBody(deviceLoginSchema, body).name));
  });
}
