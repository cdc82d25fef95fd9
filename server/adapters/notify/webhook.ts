import { createHmac } from 'node:crypto';
import { mayPutOff } from '../../domain/outbox/retry-after.ts';
import type { Delivery, OutboxMessage } from '../../ports.ts';

/** How long a receiver may take. */
export const WEBHOOK_TIMEOUT_MS = 15_000;

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
export function webhookSignature(attempt: {
  id: string;
  timestampS: number;
  body: string;
  secret: string;
}): string {
  const hmac = createHmac('sha256', Buffer.from(attempt.secret, 'base64'));
  return `v1,${hmac.update(`${attempt.id}.${attempt.timestampS}.${attempt.body}`).digest('base64')}`;
}

type Attempt = {
  readonly url: string;
  /** bytes in base64 */
  readonly secret: string;
  readonly nowMs: number;
};

/**
 * Sends a message by HTTP POST. Only a 2xx answer counts as taken; a redirect is not followed; 410 is an end;
 * when 429 and 503 ask to be tried again is told.
 * The id in the header is the same at every attempt, so that a receiver can tell repeats.
 * @source [STDWH] headers webhook-id, webhook-timestamp and webhook-signature
 */
export async function sendByWebhook(
  { key, body }: Pick<OutboxMessage, 'key' | 'body'>,
  { url, secret, nowMs }: Attempt,
): Promise<Delivery> {
  const timestampS = Math.floor(nowMs / 1000);
  try {
    const response = await fetch(url, {
      method: 'POST',
      redirect: 'manual',
      headers: {
        'content-type': 'application/json',
        'webhook-id': key,
        'webhook-timestamp': String(timestampS),
        'webhook-signature': webhookSignature({ id: key, timestampS, body, secret }),
      },
      body,
      signal: AbortSignal.timeout(WEBHOOK_TIMEOUT_MS),
    });
    await response.body?.cancel();
    if (response.ok) return { taken: true };
    return {
      ...{ taken: false, error: `the receiver answered ${response.status}` },
      forGood: response.status === 410,
      retryAfter: mayPutOff(response.status) ? response.headers.get('retry-after') : null,
    };
  } catch (cause) {
    return { taken: false, error: `no answer: ${reasonOf(cause)}`, forGood: false };
  }
}

function reasonOf(cause: unknown): string {
  if (!(cause instanceof Error)) return String(cause);
  return cause.cause instanceof Error ? cause.cause.message : cause.message;
}
