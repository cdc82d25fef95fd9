import { z } from 'zod';
import { lengthProblem } from './password.ts';
import { MAX_PASSWORD_CHARACTERS, MIN_PASSWORD_CHARACTERS, ROLES } from './roles.ts';

/** UTF-16 units one character may take, and two that become one. */
const UNITS_A_CHARACTER = 4;

/** A new password. Only its length is asked for here; what is easy to guess is refused where a list is at hand. */
export const newPasswordSchema = z
  .string()
  .superRefine((password, context) => {
    const message = lengthProblem(password);
    if (message !== null) context.addIssue({ code: 'custom', message });
  })
  .meta({ minLength: MIN_PASSWORD_CHARACTERS, maxLength: MAX_PASSWORD_CHARACTERS });

/** A password as it is tried. */
const triedPasswordSchema = z.string().max(MAX_PASSWORD_CHARACTERS * UNITS_A_CHARACTER);

/** The name of an account, in the record beside what it acknowledged: no control character, one spelling. */
export const accountNameSchema = z
  .string()
  .normalize('NFC')
  .regex(/^[\p{L}\p{N}][\p{L}\p{N} ._-]{0,39}$/u, 'a name has 1 to 40 letters, digits, spaces, . _ or -')
  .regex(/\S$/u, 'a name does not end in a space');

/** The name under which devices log in at the broker. */
export const deviceLoginNameSchema = z
  .string()
  .regex(/^[A-Za-z0-9._-]{1,64}$/, 'a device login has 1 to 64 of A-Z a-z 0-9 - _ .');

/** The name somebody gives a passkey; no control or formatting character. */
export const passkeyNameSchema = z
  .string()
  .normalize('NFC')
  .trim()
  .regex(/^[^\p{C}\p{Zl}\p{Zp}]{1,40}$/u, 'a name has 1 to 40 printable characters');

/** What a token of a program may read: the measurements of the daemon, or whatever an account with the role look sees. */
export const TOKEN_SCOPES = ['metrics', 'read'] as const;
export type TokenScope = (typeof TOKEN_SCOPES)[number];
export const newApiTokenSchema = z.strictObject({ name: passkeyNameSchema, scope: z.enum(TOKEN_SCOPES) });

export const signInSchema = z.strictObject({ name: z.string().max(80), password: triedPasswordSchema });
export const confirmSchema = z.strictObject({ password: triedPasswordSchema });
/** A password somebody thinks of, and the name of the account it is for. */
export const passwordCheckSchema = z.strictObject({
  password: triedPasswordSchema,
  name: z.string().max(80).optional(),
});
export const ownerPasswordSchema = z.strictObject({ password: newPasswordSchema });
export const ownPasswordSchema = z.strictObject({
  current: triedPasswordSchema,
  password: newPasswordSchema,
});
export const newAccountSchema = z.strictObject({
  name: accountNameSchema,
  role: z.enum(ROLES),
  password: newPasswordSchema,
});
export const accountPatchSchema = z.strictObject({
  role: z.enum(ROLES).optional(),
  password: newPasswordSchema.optional(),
});
export const deviceLoginSchema = z.strictObject({ name: deviceLoginNameSchema });

const base64url = z.string().regex(/^[A-Za-z0-9_-]{1,16384}$/, 'expected base64url');
/** A random text that names a step already begun. */
const ticketSchema = z.string().regex(/^[\w-]{43}$/, 'expected the ticket of the step before');
const credential = {
  id: base64url,
  rawId: base64url,
  type: z.literal('public-key'),
  authenticatorAttachment: z.enum(['platform', 'cross-platform']).optional(),
  clientExtensionResults: z.looseObject({}),
};
/** What a browser answers when a passkey is made, as WebAuthn Level 3 writes it in JSON. */
const newCredentialSchema = z.object({
  ...credential,
  response: z.object({
    clientDataJSON: base64url,
    attestationObject: base64url,
    transports: z.array(z.string().max(20)).max(8).optional(),
  }),
});
/** What a browser answers when a passkey is asked for. */
const usedCredentialSchema = z.object({
  ...credential,
  response: z.object({
    clientDataJSON: base64url,
    authenticatorData: base64url,
    signature: base64url,
    userHandle: base64url.optional(),
  }),
});
export const newPasskeySchema = z.strictObject({
  ticket: ticketSchema,
  name: passkeyNameSchema,
  credential: newCredentialSchema,
});
export const passkeySignInSchema = z.strictObject({ ticket: ticketSchema, credential: usedCredentialSchema });
export type NewCredential = z.infer<typeof newCredentialSchema>;
export type UsedCredential = z.infer<typeof usedCredentialSchema>;
