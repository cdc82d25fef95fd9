import { type Request, type Response, Router } from 'express';
import { z } from 'zod';
import { Fault } from '../../../../shared/faults.ts';
import {
  accountPatchSchema,
  confirmSchema,
  deviceLoginSchema,
  newAccountSchema,
  newPasskeySchema,
  ownerPasswordSchema,
  ownPasswordSchema,
  passkeySignInSchema,
  passwordCheckSchema,
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
    const { askerOf, siteOf } = doorkeeper;
    const done = await access.signIn(tried, askerOf(request), siteOf(request));
    if ('passkey' in done) response.status(202).json(done);
    else welcome(request, response, done);
  });
  routes.post('/sign-in/passkey', async (request, response) => {
    const tried = readBody(passkeySignInSchema, request.body);
    welcome(request, response, await access.signInWithPasskey(tried, doorkeeper.askerOf(request)));
  });
  routes.post('/sign-out', (request, response) => {
    const guest = doorkeeper.guestOf(request);
    if (guest !== null) access.signOut(guest);
    response.setHeader('set-cookie', doorkeeper.cookieFor(request, null));
    answer(request, response, null);
  });
  routes.put('/password', async (request, response) => {
    const order = readBody(ownPasswordSchema, request.body);
    const guest = requireGuest(doorkeeper.guestOf(request));
    await access.changePassword(guest, order, doorkeeper.askerOf(request));
    answer(request, response, guest);
  });
  routes.post('/confirm', async (request, response) => {
    const { password } = readBody(confirmSchema, request.body);
    const guest = requireGuest(doorkeeper.guestOf(request));
    response.json(await access.confirm(guest, password, doorkeeper.askerOf(request)));
  });
  routes.post('/password-check', async ({ body }, response) => {
    const { password, name } = readBody(passwordCheckSchema, body);
    response.json({ problem: await access.passwordProblem(password, name === undefined ? [] : [name]) });
  });
  routes.get('/sessions', (request, response) => {
    response.json({ sessions: access.sessions(doorkeeper.guestOf(request)) });
  });
  routes.delete('/sessions/:id', (request, response) => {
    const { guestOf, actorOf } = doorkeeper;
    access.endSession(guestOf(request), Number(request.params.id), actorOf(request));
    response.status(204).end();
  });
  accountRoutes(routes, deps);
  passkeyRoutes(routes, deps);
  return routes;
}

function accountRoutes(routes: Router, { access, doorkeeper: { actorOf } }: AccessRouteDeps): void {
  routes.get('/events', ({ query }, response) => {
    response.json(access.events(readBody(eventsQuerySchema, query)));
  });
  routes.get('/accounts', (_request, response) => void response.json({ accounts: access.accounts() }));
  routes.post('/accounts', async (request, response) => {
    const account = readBody(newAccountSchema, request.body);
    response.status(201).json(await access.addAccount(account, actorOf(request)));
  });
  routes.patch('/accounts/:id', async (request, response) => {
    const patch = readBody(accountPatchSchema, request.body);
    response.json(await access.patchAccount(Number(request.params.id), patch, actorOf(request)));
  });
  routes.delete('/accounts/:id', (request, response) => {
    access.removeAccount(Number(request.params.id), actorOf(request));
    response.status(204).end();
  });
  routes.get('/device-login', (_request, response) => {
    response.json({ deviceLogin: access.deviceLogin() });
  });
  routes.put('/device-login', (request, response) => {
    const { name } = readBody(deviceLoginSchema, request.body);
    response.json(access.makeDeviceLogin(name, actorOf(request)));
  });
}

function passkeyRoutes(routes: Router, { access, doorkeeper }: AccessRouteDeps): void {
  const { guestOf, actorOf, siteOf } = doorkeeper;
  routes.get('/passkeys', (request, response) => {
    const guest = guestOf(request);
    response.json({ passkeys: guest === null ? [] : access.passkeys(guest) });
  });
  routes.post('/passkeys/offer', async (request, response) => {
    response.json(await access.offerPasskey(requireGuest(guestOf(request)), siteOf(request)));
  });
  routes.post('/passkeys', async (request, response) => {
    const made = readBody(newPasskeySchema, request.body);
    const guest = requireGuest(guestOf(request));
    response.status(201).json(await access.addPasskey(guest, made, actorOf(request)));
  });
  routes.delete('/passkeys/:id', (request, response) => {
    const id = Number(request.params.id);
    access.removePasskey(requireGuest(guestOf(request)), id, actorOf(request));
    response.status(204).end();
  });
}

function requireGuest(guest: Guest | null): Guest {
  if (guest !== null) return guest;
  throw new Fault({ code: 'bad-request', message: 'Nobody is signed in; set the owner password first.' });
}

/** Most events in one answer. */
const MAX_EVENTS = 200;
const eventsQuerySchema = z
  .strictObject({
    limit: z.coerce.number().int().min(1).max(MAX_EVENTS).default(50),
    cursor: z
      .string()
      .regex(/^\d{1,15}$/, 'expected the "next" of an answer')
      .transform(Number)
      .nullable()
      .default(null),
  })
  .transform(({ limit, cursor }) => ({ limit, beforeId: cursor }));
