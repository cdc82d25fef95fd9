import { createHash } from 'node:crypto';
import webPush from 'web-push';
import type { NewContactMethod } from '../../../shared/model/people/people.ts';
import { alarmPath } from '../../../shared/page-routes.ts';
import { type Notice, noticeSchema } from '../../../shared/wire/people.ts';
import { mayPutOff } from '../../domain/outbox/retry-after.ts';
import { MORNING_SHEET } from '../../domain/people/morning-sheet.ts';
import type { Delivery, OutboxMessage, SendHttp } from '../../ports.ts';

/** What a push service carries at most is 4,096 bytes, sealed; the words are cut before. @source [RFC8030] 7.2 */
const MOST_WORDS = 1_000;

/** How long a service may keep what it could not deliver, s. Proposal: yesterday's alarm helps nobody. */
const KEPT_FOR_S = { high: 3_600, medium: 4 * 3_600, low: 24 * 3_600 } as const;
const URGENCY = { high: 'high', medium: 'high', low: 'normal' } as const;

type PushKeys = { readonly publicKey: string; readonly privateKey: string };
type PushMethod = Extract<NewContactMethod, { kind: 'push' }>;

/** New keys by which push services know this installation, as they are kept. @source [RFC8292] */
export function makePushKeys(): string {
  return JSON.stringify(webPush.generateVAPIDKeys());
}

/** Reads what `makePushKeys` made; its shape was checked. */
export function readPushKeys(kept: string): PushKeys {
  return JSON.parse(kept) as PushKeys;
}

type PusherDeps = {
  readonly keys: PushKeys;
  /** whom a service may write to, `mailto:` or `https:` */
  readonly contact: string;
  readonly sendHttp: SendHttp;
  /** whether a service may be on this computer itself */
  readonly ownAddresses: () => boolean;
};

/**
 * Sends messages to browsers through their push service, sealed so that only the browser reads them. What is sent of
 * one alarm replaces what was sent before and not yet delivered. 404 and 410 mean the browser accepts no more.
 * @source [RFC8030] delivery; [RFC8291] sealing; [RFC8292] who sends
 */
export function createPusher({ keys, contact, sendHttp, ownAddresses }: PusherDeps) {
  return async (
    { subscription }: PushMethod,
    { body }: Pick<OutboxMessage, 'key' | 'body'>,
    signal: AbortSignal,
  ): Promise<Delivery> => {
    const notice = noticeSchema.parse(JSON.parse(body));
    // a test must come as a high alarm would, or it proves little
    const priority = notice.type === 'test' ? 'high' : (notice.data.alarm?.priority ?? 'low');
    try {
      const request = webPush.generateRequestDetails(subscription, payloadOf(notice), {
        vapidDetails: { subject: contact, ...keys },
        TTL: KEPT_FOR_S[priority],
        urgency: URGENCY[priority],
        contentEncoding: 'aes128gcm',
        topic: topicOf(notice),
      });
      const { status, retryAfter } = await sendHttp({
        url: request.endpoint,
        method: 'POST',
        headers: Object.fromEntries(
          Object.entries(request.headers).map(([name, value]) => [name, String(value)]),
        ),
        body: new Uint8Array(request.body ?? []),
        signal,
        ownAddresses: ownAddresses(),
      });
      return deliveryOf(status, retryAfter);
    } catch (cause) {
      const why = cause instanceof Error ? cause.message : String(cause);
      return { delivered: false, error: `the push service: ${why}`, forGood: false };
    }
  };
}

function deliveryOf(status: number, retryAfter: string | null): Delivery {
  if (status >= 200 && status < 300) return { delivered: true };
  if (status === 404 || status === 410)
    return {
      delivered: false,
      error: 'the browser accepts no more messages: add it again from there',
      forGood: true,
    };
  return {
    delivered: false,
    error: `the push service answered ${status}`,
    forGood: false,
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
    opens: opensOf({ type, data }),
    answerPath: data.answerPath,
    answerTitle: type === 'test' ? 'It reached me' : 'Acknowledge',
  });
}

/** The address that a tap on a message opens: of an alarm that alarm, of a test its answer, of the morning sheet the night. */
function opensOf({ type, data }: Pick<Notice, 'type' | 'data'>): string {
  if (type === 'test' && data.answerPath !== null) return data.answerPath;
  if (type === MORNING_SHEET) return '/#/night';
  return data.alarm === null ? '/#/alarms' : alarmPath(data.alarm.id);
}

function topicOf({ type, data }: Notice): string {
  return createHash('sha256')
    .update(data.alarm?.id ?? type)
    .digest('base64url')
    .slice(0, 22);
}
