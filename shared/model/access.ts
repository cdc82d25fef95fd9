import { z } from 'zod';
import { MAX_PASSWORD_CHARACTERS, MIN_PASSWORD_CHARACTERS, ROLES } from './roles.ts';

/** A new password. One phrase is as good as another: only its length is asked for. */
export const newPasswordSchema = z
  .string()
  .min(MIN_PASSWORD_CHARACTERS, `a password has at least ${MIN_PASSWORD_CHARACTERS} characters`)
  .max(MAX_PASSWORD_CHARACTERS, `a password has at most ${MAX_PASSWORD_CHARACTERS} characters`);

/** A password as it is tried. */
const triedPasswordSchema = z.string().max(MAX_PASSWORD_CHARACTERS);

/** The name of an account: it stands in the record beside what was acknowledged. */
export const accountNameSchema = z
  .string()
  .regex(/^[\p{L}\p{N}][\p{L}\p{N} ._-]{0,39}$/u, 'a name has 1 to 40 letters, digits, spaces, . _ or -')
  .regex(/\S$/u, 'a name does not end in a space');

/** The name under which devices log in at the broker. */
export const deviceLoginNameSchema = z
  .string()
  .regex(/^[A-Za-z0-9._-]{1,64}$/, 'a device login has 1 to 64 of A-Z a-z 0-9 - _ .');

export const signInSchema = z.strictObject({ name: z.string().max(40), password: triedPasswordSchema });
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
