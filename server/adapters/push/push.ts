import { createHash } from 'node:crypto';
import webPush from 'web-push';
import type { NewWay } from '../../../shared/model/people.ts';
import { type Notice, noticeSchema } from '../../../shared/wire/people.ts';
import { mayPutOff } from '../../domain/outbox/retry-after.ts';
import type { Delivery, Keep, OutboxMessage } from '../../ports.ts';

const KEYS_KEPT_AS = 'push-keys';
const TIMEOUT_MS = 15_000;
/** What a push service carries at most is 4,096 bytes, sealed; the words are cut before. @source [RFC8030] 7.2 */
const MOST_WORDS = 1_000;

/** How long a service may keep what it could not deliver, s. Proposal: yesterday's alarm helps nobody. */
const KEPT_FOR_S = { high: 3_600, medium: 4 * 3_600, low: 24 * 3_600 } as const;
const URGENCY = { high: 'high', medium: 'high', low: 'normal' } as const;

export type PushKeys = { readonly publicKey: string; readonly privateKey: string };
type PushWay = Extract<NewWay, { kind: 'push' }>;

/** The keys by which push services know this installation, made at their first use. @source [RFC8292] */
export function keptPushKeys(keep: Keep): PushKeys {
  const kept = keep.read(KEYS_KEPT_AS);
  // written here alone, so its shape is ours
  if (kept !== null) return JSON.parse(kept) as PushKeys;
  const keys = webPush.generateVAPIDKeys();
  keep.write(KEYS_KEPT_AS, JSON.stringify(keys));
  return keys;
}

/**
 * Sends messages to browsers through their push service, sealed so that only the browser reads them. What is told of
 * one alarm replaces what was told before and not yet delivered. 404 and 410 mean the browser takes no more.
 * @param settings our keys, and whom a service may write to, `mailto:` or `https:`
 * @source [RFC8030] delivery; [RFC8291] sealing; [RFC8292] who sends
 */
export function createPusher({ keys, contact }: { keys: PushKeys; contact: string }) {
  return async (
    { subscription }: PushWay,
    { body }: Pick<OutboxMessage, 'key' | 'body'>,
  ): Promise<Delivery> => {
    const notice = noticeSchema.parse(JSON.parse(body));
    // a test must come as a high alarm would, or it proves little
    const priority = notice.type === 'test' ? 'high' : (notice.data.alarm?.priority ?? 'low');
    try {
      const request = webPush.generateRequestDetails(subscription, payloadOf(notice), {
        vapidDetails: { subject: contact, ...keys },
        ...{ TTL: KEPT_FOR_S[priority], urgency: URGENCY[priority], contentEncoding: 'aes128gcm' },
        topic: topicOf(notice),
      });
      const response = await fetch(request.endpoint, {
        ...{ method: request.method, redirect: 'manual' as const },
        headers: Object.fromEntries(
          Object.entries(request.headers).map(([name, value]) => [name, String(value)]),
        ),
        body: new Uint8Array(request.body ?? []),
        signal: AbortSignal.timeout(TIMEOUT_MS),
      });
      await response.body?.cancel();
      return deliveryOf(response.status, response.headers.get('retry-after'));
    } catch (cause) {
      const why = cause instanceof Error && cause.cause instanceof Error ? cause.cause : cause;
      const error = `the push service: ${why instanceof Error ? why.message : String(why)}`;
      return { taken: false, error, forGood: false };
    }
  };
}

function deliveryOf(status: number, retryAfter: string | null): Delivery {
  if (status >= 200 && status < 300) return { taken: true };
  if (status === 404 || status === 410)
    return {
      taken: false,
      error: 'the browser takes no more messages: add it anew from there',
      forGood: true,
    };
  return {
    ...{ taken: false, error: `the push service answered ${status}`, forGood: false },
    retryAfter: mayPutOff(status) ? retryAfter : null,
  };
}

function payloadOf({ type, data }: Notice): string {
  const [title, ...rest] = [data.subject, data.message.slice(0, MOST_WORDS)];
  const body = rest.join('').replace(title, '').trim();
  const asks = data.answerPath !== null;
  return JSON.stringify({
    type,
    title: title.slice(0, 200),
    body,
    tag: data.alarm?.id ?? type,
    asks,
    answerPath: data.answerPath,
    answerTitle: type === 'test' ? 'It reached me' : 'Acknowledge',
  });
}

function topicOf({ type, data }: Notice): string {
  return createHash('sha256')
    .update(data.alarm?.id ?? type)
    .digest('base64url')
    .slice(0, 22);
}
