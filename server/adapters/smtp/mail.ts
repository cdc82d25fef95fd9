import { createTransport } from 'nodemailer';
import type { NewWay } from '../../../shared/model/people.ts';
import { type Notice, noticeSchema } from '../../../shared/wire/people.ts';
import type { Delivery, OutboxMessage } from '../../ports.ts';

/** How long a mail server may take to let itself be reached, to greet, and to answer, ms. */
const PATIENCE = { connectionTimeout: 10_000, greetingTimeout: 10_000, socketTimeout: 15_000 };

type MailWay = Extract<NewWay, { kind: 'mail' }>;
type Outgoing = Pick<OutboxMessage, 'key' | 'body'>;

/**
 * Sends messages as plain text by a mail server. Its name in the header is made from the outbox's key, the same at
 * every attempt; what is told of one raising is one thread. A refused recipient (5yz) is an end, all else is tried again.
 * @param settings `smtp://` or `smtps://` with user and password, and who messages are from
 * @source [RFC5321] 4yz and 5yz; [RFC3834] Auto-Submitted
 */
export function createMailer({ url, from }: { url: string; from: string }) {
  const transport = createTransport({ url, ...PATIENCE, disableFileAccess: true, disableUrlAccess: true });
  const domain = from.split('@')[1] ?? 'localhost';
  return async ({ address }: MailWay, { key, body }: Outgoing): Promise<Delivery> => {
    const notice = noticeSchema.parse(JSON.parse(body));
    const thread = threadOf(notice, domain);
    try {
      await transport.sendMail({
        ...{ from: { name: 'Strikewell', address: from }, to: { name: '', address } },
        ...{ subject: notice.data.subject, text: textOf(notice) },
        ...{ messageId: `<${key}@${domain}>`, date: new Date(notice.timestamp) },
        ...(thread === null ? {} : { references: thread, inReplyTo: thread }),
        headers: { 'Auto-Submitted': 'auto-generated' },
        priority: notice.data.alarm?.priority === 'high' ? 'high' : 'normal',
      });
      return { taken: true };
    } catch (cause) {
      return refusal(cause);
    }
  };
}

function threadOf({ data }: Notice, domain: string): string | null {
  if (!data.alarm) return null;
  const name = Buffer.from(data.alarm.id).toString('base64url');
  return `<${name}-${data.alarm.raisedAtMs ?? 0}@${domain}>`;
}

function textOf({ type, data }: Notice): string {
  const asks = type === 'test' ? 'It reached me' : 'Acknowledge';
  const answer = data.answer === null ? [] : [`${asks}: ${data.answer}`];
  const foot = 'Strikewell watches; it is no safety device and switches nothing.';
  return [data.message, ...answer, foot].join('\n\n');
}

function refusal(cause: unknown): Delivery {
  const error = cause instanceof Error ? cause.message : String(cause);
  const of = cause as { code?: unknown; responseCode?: unknown };
  const forGood = of.code === 'EENVELOPE' && typeof of.responseCode === 'number' && of.responseCode >= 500;
  return { taken: false, error: `the mail server: ${error}`.slice(0, 300), forGood };
}
