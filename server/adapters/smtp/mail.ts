import { Socket } from 'node:net';
import { createTransport } from 'nodemailer';
import type { NewContactMethod } from '../../../shared/model/people/people.ts';
import { type Notice, noticeSchema } from '../../../shared/wire/people.ts';
import { morningHtml, morningText, STRIP_WIDTH_PX } from '../../domain/mail/morning-mail.ts';
import { stripPicture } from '../../domain/mail/strip-picture.ts';
import type { Delivery, OutboxMessage } from '../../ports.ts';
import { pngOf } from './png.ts';

/** How long a mail server may take to let itself be reached, to greet, and to answer, ms; each byte begins it again. */
const TIMEOUTS = { connectionTimeout: 10_000, greetingTimeout: 10_000, socketTimeout: 15_000 };
/** A single answer may be so long, and all of a session together; an ordinary session reads under 2 kB. */
const MOST_ANSWER_BYTES = 16 * 1024;
const MOST_SESSION_BYTES = 256 * 1024;

type MailMethod = Extract<NewContactMethod, { kind: 'mail' }>;
type Outgoing = Pick<OutboxMessage, 'key' | 'body'>;

/**
 * Sends messages as plain text by a mail server, a morning sheet as HTML with pictures too. Its name in the header is made from the outbox's key, the same at
 * every attempt; what is sent of one raising is one thread. What a server refuses for good (5yz) is an end, wherever it
 * says so; all else is tried again. A password leaves this machine only over an encrypted connection.
 * @param settings `smtp://` or `smtps://` with user and password, and who messages are from
 * @source [RFC5321] 4yz and 5yz; [RFC3834] Auto-Submitted; [RFC3207] STARTTLS
 */
export function createMailer({ url, from }: { url: string; from: string }) {
  const guarded = asksForTls(url) ? { requireTLS: true } : {};
  const domain = from.split('@')[1] ?? 'localhost';
  return async ({ address }: MailMethod, { key, body }: Outgoing, signal: AbortSignal): Promise<Delivery> => {
    const notice = noticeSchema.parse(JSON.parse(body));
    const thread = threadOf(notice, domain);
    const socket = boundedSocket(signal);
    // a connection of its own for each message, so that it can be cut whatever the library does
    const transport = createTransport({
      url,
      ...TIMEOUTS,
      ...guarded,
      socket,
      maxResponseSize: MOST_ANSWER_BYTES,
      disableFileAccess: true,
      disableUrlAccess: true,
    });
    try {
      await transport.sendMail({
        signal,
        from: { name: 'Strikewell', address: from },
        to: { name: '', address },
        subject: notice.data.subject,
        ...contentOf(notice, { key, domain }),
        messageId: `<${key}@${domain}>`,
        date: new Date(notice.timestamp),
        ...(thread === null ? {} : { references: thread, inReplyTo: thread }),
        headers: { 'Auto-Submitted': 'auto-generated' },
        priority: notice.data.alarm?.priority === 'high' ? 'high' : 'normal',
      });
      return { delivered: true };
    } catch (cause) {
      socket.destroy();
      return refusal(cause);
    }
  };
}

/** A connection that is cut when the signal says so, or when more comes than any session needs. */
function boundedSocket(signal: AbortSignal): Socket {
  const socket = new Socket();
  const cut = () => void socket.destroy(new Error('broken off'));
  signal.addEventListener('abort', cut, { once: true });
  socket.on('close', () => signal.removeEventListener('abort', cut));
  socket.on('data', () => {
    if (socket.bytesRead > MOST_SESSION_BYTES) socket.destroy(new Error('it answers without end'));
  });
  return socket;
}

function threadOf({ data }: Notice, domain: string): string | null {
  if (!data.alarm) return null;
  const name = Buffer.from(data.alarm.id).toString('base64url');
  return `<${name}-${data.alarm.raisedAtMs ?? 0}@${domain}>`;
}

const FOOT = 'Strikewell only monitors. It is not a safety device and switches nothing.';

/** Plain text; of a morning sheet HTML too, with its pictures. */
function contentOf(notice: Notice, { key, domain }: { readonly key: string; readonly domain: string }) {
  const { sheet, message } = notice.data;
  if (sheet === undefined) return { text: textOf(notice) };
  const pictureId = (row: number) => `night-${row}-${key}@${domain}`;
  const said = { message, foot: FOOT };
  return {
    text: morningText(sheet, said),
    html: morningHtml(sheet, { ...said, pictureId }),
    attachments: sheet.rows.map(({ strip }, i) => ({
      filename: `night-${i + 1}.png`,
      contentType: 'image/png',
      contentDisposition: 'inline' as const,
      cid: pictureId(i),
      content: pngOf(stripPicture(strip, STRIP_WIDTH_PX)),
    })),
  };
}

function textOf({ type, data }: Notice): string {
  const asks = type === 'test' ? 'It reached me' : 'Acknowledge';
  const answer = data.answer === null ? [] : [`${asks}: ${data.answer}`];
  return [data.message, ...answer, FOOT].join('\n\n');
}

/** True where a password would cross a network readable, unless the server is made to encrypt first. */
function asksForTls(url: string): boolean {
  const { protocol, username, password, hostname } = new URL(url);
  const isHere = hostname === 'localhost' || hostname === '[::1]' || /^127(\.\d{1,3}){3}$/.test(hostname);
  return protocol === 'smtp:' && `${username}${password}` !== '' && !isHere;
}

/** What a setting must be corrected for, said with what the server answered. */
const REMEDIES: Readonly<Record<string, string>> = {
  STARTTLS:
    'it offers no encryption (STARTTLS), so user and password were not sent: use smtps:// or another server',
  AUTH: 'it refused user and password: correct them in STRIKEWELL_SMTP_URL',
};

function refusal(cause: unknown): Delivery {
  const error = cause instanceof Error ? cause.message : String(cause);
  const { code, responseCode, command } = cause as Readonly<Record<string, unknown>>;
  const refused = typeof responseCode === 'number' && responseCode >= 500;
  // without an answer: it takes no login, or none of the kinds known here
  const noLogin = code === 'EAUTH' && responseCode === undefined;
  const forGood = refused || noLogin;
  const remedy = forGood ? REMEDIES[String(command).split(' ')[0] ?? ''] : undefined;
  const words = remedy === undefined ? error : `${remedy} (${error})`;
  return { delivered: false, error: `the mail server: ${words}`.slice(0, 300), forGood };
}
