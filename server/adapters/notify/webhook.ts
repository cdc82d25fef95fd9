import type { Notifier } from '../../ports.ts';

/** How long a receiver may take. */
export const WEBHOOK_TIMEOUT_MS = 15_000;

/**
 * Sends a message by HTTP POST. Only a 2xx answer counts as taken; a redirect is not followed.
 * The id in the header is the same at every attempt, so that a receiver can tell repeats.
 * @source [STDWH] headers webhook-id and webhook-timestamp
 */
export function createWebhook({ url, nowMs }: { url: string; nowMs: () => number }): Notifier {
  return {
    async send({ key, body }) {
      const response = await fetch(url, {
        method: 'POST',
        redirect: 'manual',
        headers: {
          'content-type': 'application/json',
          'webhook-id': key,
          'webhook-timestamp': String(Math.floor(nowMs() / 1000)),
        },
        body,
        signal: AbortSignal.timeout(WEBHOOK_TIMEOUT_MS),
      }).catch((cause: unknown) => {
        throw new Error(`no answer: ${reasonOf(cause)}`, { cause });
      });
      await response.body?.cancel();
      if (!response.ok) throw new Error(`the receiver answered ${response.status}`);
    },
  };
}

function reasonOf(cause: unknown): string {
  if (!(cause instanceof Error)) return String(cause);
  return cause.cause instanceof Error ? cause.cause.message : cause.message;
}
