import { createHash, randomBytes, scrypt, timingSafeEqual } from 'node:crypto';
import { isKeptPassword } from '../../domain/access/kept-password.ts';
import type { Secrets } from '../../ports.ts';

/**
 * scrypt (RFC 7914): 32 MiB and three passes. Of the pairs of equal strength that are commonly advised, the one a
 * small computer with 512 MB still carries. Common practice, no source.
 */
const COST = { N: 32_768, r: 8, p: 3 } as const;
const KEY_BYTES = 32;
const SALT_BYTES = 16;
const TOKEN_BYTES = 32;
/** 128 · N · r bytes are needed; the default of node is just below. */
const MAX_MEMORY_BYTES = 64 * 1024 * 1024;

type Cost = { readonly N: number; readonly r: number; readonly p: number };

/** Tried when there is no such account, so that the answer takes as long. */
const NOBODY = { cost: COST, salt: Buffer.alloc(SALT_BYTES), key: Buffer.alloc(KEY_BYTES) };

/** Passwords by scrypt, tokens from the system's random numbers, their fingerprints by SHA-256. */
export const systemSecrets: Secrets = {
  async keep(password) {
    const salt = randomBytes(SALT_BYTES);
    const key = await derived(password, { salt, cost: COST });
    return ['scrypt', COST.N, COST.r, COST.p, salt.toString('base64url'), key.toString('base64url')].join(
      '$',
    );
  },
  async fits(password, kept) {
    const read = kept === null ? null : readKept(kept);
    const { cost, salt, key } = read ?? NOBODY;
    const tried = await derived(password, { salt, cost });
    return timingSafeEqual(tried, key) && read !== null;
  },
  token: () => randomBytes(TOKEN_BYTES).toString('base64url'),
  fingerprint: (token) => createHash('sha256').update(token).digest('base64url'),
  same(a, b) {
    const [left, right] = [Buffer.from(a), Buffer.from(b)];
    return left.length === right.length && timingSafeEqual(left, right);
  },
};

function derived(password: string, { salt, cost }: { salt: Buffer; cost: Cost }): Promise<Buffer> {
  const { promise, resolve, reject } = Promise.withResolvers<Buffer>();
  // two keyboards may send one letter in two ways
  const text = password.normalize('NFC');
  scrypt(text, salt, KEY_BYTES, { ...cost, maxmem: MAX_MEMORY_BYTES }, (cause, key) =>
    cause ? reject(cause) : resolve(key),
  );
  return promise;
}

function readKept(kept: string) {
  if (!isKeptPassword(kept)) return null;
  const [, N, r, p, salt = '', key = ''] = kept.split('$');
  return {
    cost: { N: Number(N), r: Number(r), p: Number(p) },
    salt: Buffer.from(salt, 'base64url'),
    key: Buffer.from(key, 'base64url'),
  };
}
