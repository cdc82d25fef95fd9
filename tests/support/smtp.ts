import { SMTPServer } from 'smtp-server';
import type { Moments } from './moments.ts';
import { freePort } from './ports.ts';
import { until } from './wait.ts';

export type Mail = {
  readonly from: string;
  readonly to: readonly string[];
  /** the header's fields by lower-case name, unfolded */
  readonly headers: Readonly<Record<string, string>>;
  readonly text: string;
  /** what it is made of; of a mail of one part none */
  readonly parts: readonly MailPart[];
};

/** A part of a mail that holds no others. */
export type MailPart = { readonly type: string; readonly id: string | null; readonly content: Buffer };

export type MailServer = {
  readonly url: string;
  readonly port: number;
  readonly mails: Mail[];
  readonly moments: Moments;
  /** what recipients are answered instead of being taken, by address */
  readonly refused: Map<string, number>;
  /** users and passwords it was given */
  readonly logins: string[];
  /** mails that were given whole, and then put off with 451 */
  readonly putOff: Mail[];
  /** answers mails that were given whole with this from now on; null: takes them */
  refuseData(code: number | null): void;
  /** puts off so many mails from now on */
  putOffNext(count: number): void;
  atLeast(count: number, withinMs: number): Promise<readonly Mail[]>;
  close(): Promise<void>;
};

export type MailServerOptions = {
  /** a free one unless given */
  readonly port?: number;
  /** asks for a login, and answers it with this code; 235 takes it */
  readonly login?: number;
  /** offers encryption by a certificate nobody vouches for */
  readonly offersTls?: boolean;
};

/**
 * A real mail server that keeps what it is given.
 *
 * @param options port, login and encryption; by default a free port and neither
 * @returns the server, once it listens
 */
export async function startMailServer(options: MailServerOptions = {}): Promise<MailServer> {
  const mails: Mail[] = [];
  const putOff: Mail[] = [];
  const moments: Moments = { onArrival: null, onDelivery: null };
  let toPutOff = 0;
  const refused = new Map<string, number>();
  const logins: string[] = [];
  let dataCode: number | null = null;
  const { login, offersTls = false } = options;
  const server = new SMTPServer({
    authOptional: login === undefined,
    allowInsecureAuth: true,
    disabledCommands: [...(login === undefined ? ['AUTH'] : []), ...(offersTls ? [] : ['STARTTLS'])],
    onAuth({ username, password }, _session, done) {
      logins.push(`${username} ${password}`);
      if (login === 235) done(null, { user: username });
      else done(Object.assign(new Error('no login'), { responseCode: login }));
    },
    onConnect(_session, done) {
      moments.onArrival?.();
      done(moments.onArrival === null ? null : new Error('shut'));
    },
    onRcptTo({ address }, _session, done) {
      const code = refused.get(address);
      done(code === undefined ? null : Object.assign(new Error('not here'), { responseCode: code }));
    },
    onData(stream, { envelope }, done) {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk: Buffer) => void chunks.push(chunk));
      stream.on('end', () => {
        const from = envelope.mailFrom === false ? '' : envelope.mailFrom.address;
        const to = envelope.rcptTo.map(({ address }) => address);
        const mail = { from, to, ...readMail(Buffer.concat(chunks).toString('utf8')) };
        if (dataCode !== null) {
          done(Object.assign(new Error('not this'), { responseCode: dataCode }));
          return;
        }
        if (toPutOff-- > 0) {
          putOff.push(mail);
          done(Object.assign(new Error('come again later'), { responseCode: 451 }));
          return;
        }
        mails.push(mail);
        void Promise.resolve(moments.onDelivery?.()).then(() => done());
      });
    },
  });
  const port = options.port ?? (await freePort());
  await listenAt(server, port);
  return {
    url: `smtp://127.0.0.1:${port}`,
    port,
    mails,
    moments,
    refused,
    putOff,
    logins,
    refuseData: (code) => {
      dataCode = code;
    },
    putOffNext: (count) => {
      toPutOff = count;
    },
    atLeast: (count, withinMs) =>
      until(() => (mails.length >= count ? mails : null), { what: `${count} mails`, withinMs }),
    close: () => new Promise((resolve) => server.close(() => resolve())),
  };
}

async function listenAt(server: SMTPServer, port: number): Promise<void> {
  // a client that hangs up in the middle of a handshake is no matter
  server.on('error', () => undefined);
  const listening = Promise.withResolvers<void>();
  server.once('error', listening.reject);
  server.listen(port, '127.0.0.1', listening.resolve);
  await listening.promise;
}

/** @source RFC 2047: encoded words of a header, the space between two of them belonging to neither */
function plainWords(value: string): string {
  return value
    .replace(/(=\?[^?]+\?[BQ]\?[^?]*\?=) (?==\?)/gi, '$1')
    .replace(/=\?UTF-8\?([BQ])\?([^?]*)\?=/gi, (_all, how: string, text: string) =>
      how.toUpperCase() === 'B'
        ? decoded(text, 'base64')
        : decoded(text.replace(/_/g, ' '), 'quoted-printable'),
    );
}

/** @source RFC 5322 header and body; RFC 2045 quoted-printable and base64; RFC 2046 parts and their boundary */
function readMail(raw: string): Pick<Mail, 'headers' | 'text' | 'parts'> {
  const { headers, body } = splitEntity(raw);
  const parts = partsOf(raw).filter((part) => !isWhole(part, headers));
  const text = parts.find(({ type }) => type === 'text/plain')?.content.toString('utf8');
  return { headers, text: text ?? decoded(body, headers['content-transfer-encoding'] ?? ''), parts };
}

const isWhole = ({ type }: MailPart, headers: Mail['headers']) => type === typeOf(headers);
const typeOf = (headers: Mail['headers']) =>
  (headers['content-type'] ?? 'text/plain').split(';')[0]?.trim().toLowerCase() ?? '';

function splitEntity(raw: string): { readonly headers: Mail['headers']; readonly body: string } {
  const end = raw.indexOf('\r\n\r\n');
  const lines = raw
    .slice(0, end)
    .replace(/\r\n[ \t]+/g, ' ')
    .split('\r\n');
  const headers = Object.fromEntries(
    lines.map((line) => [
      line.slice(0, line.indexOf(':')).toLowerCase(),
      plainWords(line.slice(line.indexOf(':') + 1).trim()),
    ]),
  );
  return { headers, body: raw.slice(end + 4) };
}

/** The parts of an entity that hold no others, in order. */
function partsOf(raw: string): MailPart[] {
  const { headers, body } = splitEntity(raw);
  const boundary = /boundary="?([^";]+)"?/i.exec(headers['content-type'] ?? '')?.[1];
  if (boundary !== undefined)
    return body
      .split(`--${boundary}`)
      .slice(1, -1)
      .flatMap((part) => partsOf(part.replace(/^\r\n/, '').replace(/\r\n$/, '')));
  const encoding = headers['content-transfer-encoding'] ?? '';
  const content =
    encoding === 'base64' ? Buffer.from(body, 'base64') : Buffer.from(decoded(body, encoding), 'utf8');
  const id = headers['content-id']?.replace(/^<|>$/g, '') ?? null;
  return [{ type: typeOf(headers), id, content }];
}

function decoded(body: string, encoding: string): string {
  if (encoding === 'base64') return Buffer.from(body, 'base64').toString('utf8');
  if (encoding !== 'quoted-printable') return body.replace(/\r\n/g, '\n');
  const joined = body.replace(/=\r\n/g, '').replace(/\r\n/g, '\n');
  const bytes = joined.replace(/=([0-9A-F]{2})/g, (_all, hex: string) =>
    String.fromCharCode(Number.parseInt(hex, 16)),
  );
  return Buffer.from(bytes, 'latin1').toString('utf8');
}
