import { createHmac, timingSafeEqual } from 'node:crypto';
import type { WebhookRequest } from './webhook.ts';

/**
 * Whether a request is signed as the Standard Webhooks specification 1.0.0 says, read as a receiver would: the signed
 * content is `id.timestamp.body`, the secret is base64 after `whsec_`, the header a list of `v1,<base64>` by spaces.
 *
 * @param request as it came
 * @param shownSecret as the owner was shown it
 * @returns true when one signature of version 1 fits
 */
export function isSigned({ headers, body }: WebhookRequest, shownSecret: string): boolean {
  if (!shownSecret.startsWith('whsec_')) return false;
  const secret = Buffer.from(shownSecret.slice('whsec_'.length), 'base64');
  const signed = `${headers['webhook-id']}.${headers['webhook-timestamp']}.${body}`;
  const expected = createHmac('sha256', secret).update(signed).digest();
  const given = String(headers['webhook-signature'] ?? '').split(' ');
  return given.some((one) => {
    const [version, signature = ''] = one.split(',');
    const bytes = Buffer.from(signature, 'base64');
    return version === 'v1' && bytes.length === expected.length && timingSafeEqual(bytes, expected);
  });
}
