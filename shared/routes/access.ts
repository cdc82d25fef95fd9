import { z } from 'zod';
import {
  accountPatchSchema,
  deviceLoginSchema,
  newAccountSchema,
  ownerPasswordSchema,
  ownPasswordSchema,
  signInSchema,
} from '../model/access.ts';
import {
  accessAnswerSchema,
  accountSchema,
  deviceLoginSchema as deviceLoginViewSchema,
  newDeviceLoginSchema,
  sessionRowSchema,
} from '../wire/access.ts';
import { next, numberedSchema, paging } from './parameters.ts';
import type { Routes } from './route.ts';

const session = { id: numberedSchema('GET /api/v1/access/sessions lists sessions by number.') };
const account = { id: numberedSchema('GET /api/v1/access/accounts lists accounts by number.') };

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
    summary: 'Sign in; the answer sets a cookie',
    body: signInSchema,
    answer: accessAnswerSchema,
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
    summary: 'End a session',
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
    summary: 'Add an account',
    body: newAccountSchema,
    answer: accountSchema,
    status: 201,
  },
  'patch /api/v1/access/accounts/{id}': {
    id: 'changeAccount',
    role: 'own',
    summary: 'Give another role, or a new password',
    params: account,
    body: accountPatchSchema,
    answer: accountSchema,
  },
  'delete /api/v1/access/accounts/{id}': {
    id: 'deleteAccount',
    role: 'own',
    summary: 'Delete an account with its sessions',
    params: account,
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
    summary: 'Make a new secret for devices, shown once; the old one ends',
    body: deviceLoginSchema,
    answer: newDeviceLoginSchema,
  },
} as const satisfies Routes;
