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
} from '../../../shared/model/access.ts';
import { act, answer, confirmed, get, id, type Json, query, schemaOf } from './openapi-parts.ts';

/** Who may: accounts, sessions, passkeys, the login of devices, and what happened at the door. */
export const accessPaths: Json = {
  '/api/v1/access': { get: get('Who asks, and whether anybody has to sign in') },
  '/api/v1/access/owner': {
    put: act('Set the first owner password; from then on everybody signs in', schemaOf(ownerPasswordSchema)),
  },
  '/api/v1/access/sign-in': {
    post: {
      ...act('Sign in; the answer sets a cookie', schemaOf(signInSchema)),
      responses: {
        ...answer('Signed in'),
        ...answer('The password fits, and a passkey is asked for: its ticket and options', 202),
      },
    },
  },
  '/api/v1/access/sign-in/passkey': {
    post: act('Sign in, second step: what the passkey answered', schemaOf(passkeySignInSchema)),
  },
  '/api/v1/access/confirm': {
    post: act('Give the password again, before who may is changed', schemaOf(confirmSchema)),
  },
  '/api/v1/access/password-check': {
    post: act('What makes a password easy to guess; null for nothing', schemaOf(passwordCheckSchema)),
  },
  '/api/v1/access/passkeys': {
    get: get('The passkeys of who asks; of all accounts for an owner'),
    post: confirmed(act('Add a passkey that a browser made', schemaOf(newPasskeySchema), 201)),
  },
  '/api/v1/access/passkeys/offer': {
    post: confirmed(act('What a browser is to be asked to make a passkey', null)),
  },
  '/api/v1/access/passkeys/{id}': {
    parameters: [id],
    delete: confirmed(act('Remove a passkey', null, 204)),
  },
  '/api/v1/access/events': {
    get: get('Sign-ins, refusals and changes of who may, newest first; "next" continues as cursor', [
      query('limit', { type: 'integer', minimum: 1, maximum: 200, default: 50 }),
      query('cursor', { type: 'string' }),
    ]),
  },
  '/api/v1/house/webhook-secret': {
    get: confirmed(get('The secret by which webhook messages are signed')),
  },
  '/api/v1/access/sign-out': { post: act('End the session of the cookie', null) },
  '/api/v1/access/password': {
    put: act('Change the password of who asks; its other sessions end', schemaOf(ownPasswordSchema)),
  },
  '/api/v1/access/sessions': { get: get('Who is signed in: all for an owner, else the own sessions') },
  '/api/v1/access/sessions/{id}': {
    parameters: [id],
    delete: act('End a session; one of somebody else asks for the password again', null, 204),
  },
  '/api/v1/access/accounts': {
    get: get('The accounts and their roles'),
    post: confirmed(act('Add an account', schemaOf(newAccountSchema), 201)),
  },
  '/api/v1/access/accounts/{id}': {
    parameters: [id],
    patch: confirmed(act('Give another role, or a new password', schemaOf(accountPatchSchema))),
    delete: confirmed(act('Remove an account with its sessions', null, 204)),
  },
  '/api/v1/access/device-login': {
    get: get('The name under which devices log in at the broker'),
    put: confirmed(
      act('Make a new secret for devices, shown once; the old one ends', schemaOf(deviceLoginSchema)),
    ),
  },
};
