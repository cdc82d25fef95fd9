import { randomBytes } from 'node:crypto';
import type { Keep } from '../../ports.ts';

/** Bytes of a new secret: the strength of SHA-256, within the 24 to 64 that webhooks ask for. */
const SECRET_BYTES = 32;

/**
 * A secret of this installation, made at its first use and the same ever after.
 * @param keep where it is kept, in the data folder
 * @param name what it is kept as
 * @returns its bytes in base64
 */
export function keptSecret(keep: Keep, name: string): string {
  const kept = keep.read(name);
  if (kept !== null) return kept;
  const secret = randomBytes(SECRET_BYTES).toString('base64');
  keep.write(name, secret);
  return secret;
}
