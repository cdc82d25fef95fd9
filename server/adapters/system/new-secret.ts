import { randomBytes } from 'node:crypto';

/** Bytes of a new secret: the strength of SHA-256, within the 24 to 64 that webhooks ask for. */
const SECRET_BYTES = 32;

/** A new secret of this installation: its bytes in base64. */
export function newSecret(): string {
  return randomBytes(SECRET_BYTES).toString('base64');
}
