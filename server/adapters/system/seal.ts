import { createHmac, timingSafeEqual } from 'node:crypto';
import type { Seal } from '../../ports.ts';

/**
 * Signs texts with a secret by HMAC-SHA256, so that they may travel through other hands and come back unaltered.
 * @param secret its bytes in base64
 */
export function createSeal(secret: string): Seal {
  const key = Buffer.from(secret, 'base64');
  const tagOf = (text: string) => createHmac('sha256', key).update(text).digest();
  return {
    sign: (text) => `${Buffer.from(text).toString('base64url')}.${tagOf(text).toString('base64url')}`,
    read(token) {
      const [body = '', tag = '', ...rest] = token.split('.');
      const text = Buffer.from(body, 'base64url').toString('utf8');
      const [given, expected] = [Buffer.from(tag, 'base64url'), tagOf(text)];
      const fits = rest.length === 0 && given.length === expected.length && timingSafeEqual(given, expected);
      return fits ? text : null;
    },
  };
}
