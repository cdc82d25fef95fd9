import type { KeyName } from './keys.ts';

/** Secrets are 32 random bytes in base64; a browser's key pair is a point and a number on P-256 in base64url. */
const SECRET = /^[A-Za-z0-9+/]{32,88}={0,2}$/;
const PAIR = /^\{"publicKey":"[\w-]{87}","privateKey":"[\w-]{43}"\}$/;

/** Whether a text can be the key of that name: an empty or damaged file is none. */
export function isKey(name: KeyName, text: string): boolean {
  return (name === 'push-keys' ? PAIR : SECRET).test(text);
}
