import { z } from 'zod';
import {
  accountPatchSchema,
  confirmSchema,
  deviceLoginSchema,
  newAccountSchema,
  newPasskeySchema,
  newApiTokenSchema as newTokenSchema,
  ownerPasswordSchema,
  ownPasswordSchema,
  passkeySignInSchema,
  passwordCheckSchema,
  signInSchema,
} from '../model/people/access.ts';
import {
  accessAnswerSchema,
  accessEventsAnswerSchema,
  accountSchema,
  apiTokenSchema,
  deviceLoginSchema as deviceLoginViewSchema,
  newApiTokenSchema,
  newDeviceLoginSchema,
  passkeyOfferSchema,
  passkeyRowSchema,
  passkeyStepSchema,
  sessionRowSchema,
} from '../wire/access.ts';
import { next, numberedSchema, numberSchema, paging } from './parameters.ts';
import type { Routes } from './route.ts';

const session = { id: numberedSchema('GET /api/v1/access/sessions lists sessions by number.') };
const account = { id: numberedSchema('GET /api/v1/access/accounts lists accounts by number.') };

const token = { id: numberedSchema('GET /api/v1/access/tokens lists tokens by number.') };
const passkey = { id: numberedSchema('GET /api/v1/access/passkeys lists passkeys by number.') };

/** Most events in one answer. */
const MAX_EVENTS = 200;
const eventsQuerySchema = z.strictObject({
  limit: numberSchema({
    min: 1,
    max: MAX_EVENTS,
    whole: true,
    words: `a whole number from 1 to ${MAX_EVENTS}`,
  }).default(50),
  cursor: numberedSchema('must be the `next` of an earlier answer').optional(),
});

/** Who asks, accounts, sessions, and the login that devices share. */
export const ACCESS_ROUTES = {
  'get /api/v1/access': {
    id: 'getAccess',
    role: 'anyone',
    summary: 'Who asks, and whether anybody has to sign in',
    answer: accessAnswerSchema,
  },
  'put /api/v1/access/owner': {
    id: 'setOwnerPassword',
    role: 'own',
    summary: 'Set the first owner password; from then on everybody signs in',
    body: ownerPasswordSchema,
    answer: accessAnswerSchema,
  },
  'post /api/v1/access/sign-in': {
    id: 'signIn',
    role: 'anyone',
    summary: 'Sign in; the answer sets a cookie, or is 202 where a passkey is asked for too',
    body: signInSchema,
    answer: accessAnswerSchema,
    others: { 202: passkeyStepSchema },
  },
  'post /api/v1/access/sign-in/passkey': {
    id: 'signInWithPasskey',
    role: 'anyone',
    summary: 'Sign in, second step: what the passkey answered',
    body: passkeySignInSchema,
    answer: accessAnswerSchema,
  },
  'post /api/v1/access/confirm': {
    id: 'confirmPassword',
    role: 'look',
    summary: 'Give the password again, before who may is changed',
    body: confirmSchema,
    answer: z.strictObject({ until: z.string().describe('RFC 3339') }),
  },
  'post /api/v1/access/password-check': {
    id: 'checkPassword',
    role: 'look',
    summary: 'What makes a password easy to guess; null for nothing',
    body: passwordCheckSchema,
    answer: z.strictObject({ problem: z.string().nullable() }),
  },
  'get /api/v1/access/passkeys': {
    id: 'listPasskeys',
    role: 'look',
    summary: 'The passkeys of who asks; of all accounts for an owner',
    answer: z.strictObject({ passkeys: z.array(passkeyRowSchema) }),
  },
  'post /api/v1/access/passkeys': {
    id: 'addPasskey',
    role: 'look',
    confirmed: true,
    summary: 'Add a passkey that a browser made',
    body: newPasskeySchema,
    answer: passkeyRowSchema,
    status: 201,
  },
  'post /api/v1/access/passkeys/offer': {
    id: 'offerPasskey',
    role: 'look',
    confirmed: true,
    summary: 'What a browser is to be asked to make a passkey',
    answer: passkeyOfferSchema,
  },
  'delete /api/v1/access/passkeys/{id}': {
    id: 'deletePasskey',
    role: 'look',
    confirmed: true,
    summary: 'Delete a passkey',
    params: passkey,
  },
  'get /api/v1/access/events': {
    id: 'listAccessEvents',
    role: 'own',
    summary: 'Sign-ins, refusals and changes of who may, newest first; "next" continues as cursor',
    query: eventsQuerySchema,
    answer: accessEventsAnswerSchema,
  },
  'post /api/v1/access/sign-out': {
    id: 'signOut',
    role: 'anyone',
    summary: 'End the session of the cookie',
    answer: accessAnswerSchema,
  },
  'put /api/v1/access/password': {
    id: 'changePassword',
    role: 'look',
    summary: 'Change the password of who asks; its other sessions end',
    body: ownPasswordSchema,
    answer: accessAnswerSchema,
  },
  'get /api/v1/access/sessions': {
    id: 'listSessions',
    role: 'look',
    summary: 'Who is signed in: all for an owner, else the own sessions',
    query: z.object(paging),
    answer: z.strictObject({ sessions: z.array(sessionRowSchema), ...next }),
  },
  'delete /api/v1/access/sessions/{id}': {
    id: 'endSession',
    role: 'look',
    summary: 'End a session; one of somebody else asks for the password again',
    params: session,
  },
  'get /api/v1/access/accounts': {
    id: 'listAccounts',
    role: 'own',
    summary: 'The accounts and their roles',
    query: z.object(paging),
    answer: z.strictObject({ accounts: z.array(accountSchema), ...next }),
  },
  'post /api/v1/access/accounts': {
    id: 'addAccount',
    role: 'own',
    confirmed: true,
    summary: 'Add an account',
    body: newAccountSchema,
    answer: accountSchema,
    status: 201,
  },
  'patch /api/v1/access/accounts/{id}': {
    id: 'changeAccount',
    role: 'own',
    confirmed: true,
    summary: 'Give another role, or a new password',
    params: account,
    body: accountPatchSchema,
    answer: accountSchema,
  },
  'delete /api/v1/access/accounts/{id}': {
    id: 'deleteAccount',
    role: 'own',
    confirmed: true,
    summary: 'Delete an account with its sessions',
    params: account,
  },
  'get /api/v1/access/tokens': {
    id: 'listTokens',
    role: 'own',
    summary: 'The tokens with which programs read',
    answer: z.strictObject({ tokens: z.array(apiTokenSchema) }),
  },
  'post /api/v1/access/tokens': {
    id: 'addToken',
    role: 'own',
    confirmed: true,
    summary:
      'Make a token for a program, shown once: sent as a bearer token it reads what the role look sees, or /metrics alone',
    body: newTokenSchema,
    answer: newApiTokenSchema,
    status: 201,
  },
  'delete /api/v1/access/tokens/{id}': {
    id: 'deleteToken',
    role: 'own',
    confirmed: true,
    summary: 'Delete a token; it is valid no more',
    params: token,
  },
  'get /api/v1/access/device-login': {
    id: 'getDeviceLogin',
    role: 'own',
    summary: 'The name under which devices log in at the broker',
    answer: z.strictObject({ deviceLogin: deviceLoginViewSchema.nullable() }),
  },
  'put /api/v1/access/device-login': {
    id: 'renewDeviceLogin',
    role: 'own',
    confirmed: true,
    summary: 'Make a new secret for devices, shown once; the old one ends',
    body: deviceLoginSchema,
    answer: newDeviceLoginSchema,
  },
} as const satisfies Routes;
