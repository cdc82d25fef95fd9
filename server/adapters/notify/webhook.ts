import { createHmac } from 'node:crypto';
import { mayPutOff } from '../../domain/outbox/retry-after.ts';
import type { Delivery, OutboxMessage, SendHttp } from '../../ports.ts';
import { reasonOf } from './outgoing.ts';

/** What a secret begins with where it is shown. @source [STDWH] */
const SECRET_PREFIX = 'whsec_';

/** The secret as receivers are given it. @param secret its bytes in base64 */
export function shownSecret(secret: string): string {
  return SECRET_PREFIX + secret;
}

/**
 * Signs an attempt, so that a receiver can tell that it comes from here and was not altered.
 * @param attempt id, time of the attempt in whole seconds since epoch, body, and the bytes of the secret in base64
 * @returns the header's value: version, comma, HMAC-SHA256 in base64
 * @source [STDWH] signature scheme v1
 */
function webhookSignature(attempt: { id: string; timestampS: number; body: string; secret: string }): string {
  const hmac = createHmac('sha256', Buffer.from(attempt.secret, 'base64'));
  return `v1,${hmac.update(`${attempt.id}.${attempt.timestampS}.${attempt.body}`).digest('base64')}`;
}

type Attempt = {
  readonly sendHttp: SendHttp;
  readonly url: string;
  /** whether it may be this computer itself */
  readonly ownAddresses: boolean;
  /** bytes in base64 */
  readonly secret: string;
  readonly nowMs: number;
  readonly signal: AbortSignal;
};

/**
 * Sends a message by HTTP POST. Only a 2xx answer counts as delivered; a redirect is not followed; 410 is an end;
 * after 429 and 503 the time at which to try again is passed on.
 * The id in the header is the same at every attempt, so that a receiver can tell repeats.
 * @source [STDWH] headers webhook-id, webhook-timestamp and webhook-signature
 */
export async function sendByWebhook(
  { key, body }: Pick<OutboxMessage, 'key' | 'body'>,
  { sendHttp, url, ownAddresses, secret, nowMs, signal }: Attempt,
): Promise<Delivery> {
  const timestampS = Math.floor(nowMs / 1000);
  const headers = {
    'content-type': 'application/json',
    'webhook-id': key,
    'webhook-timestamp': String(timestampS),
    'webhook-signature': webhookSignature({ id: key, timestampS, body, secret }),
  };
  try {
    const { status, retryAfter } = await sendHttp({
      url,
      method: 'POST',
      headers,
      body,
      signal,
      ownAddresses,
    });
    if (status >= 200 && status < 300) return { delivered: true };
    return {
      delivered: false,
      error: `the receiver answered ${status}`,
      forGood: status === 410,
      retryAfter: mayPutOff(status) ? retryAfter : null,
    };
  } catch (cause) {
    return { delivered: false, error: `no answer: ${reasonOf(cause)}`, forGood: false };
  }
}
