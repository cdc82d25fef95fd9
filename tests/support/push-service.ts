import { createDecipheriv, createECDH, createPublicKey, hkdfSync, randomBytes, verify } from 'node:crypto';
import { createServer, type IncomingHttpHeaders } from 'node:http';
import { freePort } from './ports.ts';
import { until } from './wait.ts';

/** The keys of a browser that takes messages. */
export type Receiver = { readonly privateKey: Buffer; readonly publicKey: Buffer; readonly auth: Buffer };

/**
 * Opens a message as RFC 8291 section 3.4 and RFC 8188 say: salt, record size and the sender's key stand before it; the
 * key comes from ECDH over P-256, the receiver's secret and both public keys.
 *
 * @param body of one record
 * @param receiver the browser's keys
 * @returns the text
 * @throws Error when it was not sealed for this receiver
 */
export function openPush(body: Buffer, { privateKey, publicKey, auth }: Receiver): string {
  const salt = body.subarray(0, 16);
  const keyLength = body.readUInt8(20);
  const senderKey = body.subarray(21, 21 + keyLength);
  const sealed = body.subarray(21 + keyLength);
  const ecdh = createECDH('prime256v1');
  ecdh.setPrivateKey(privateKey);
  const info = Buffer.concat([Buffer.from('WebPush: info\0'), publicKey, senderKey]);
  const secret = hkdfSync('sha256', ecdh.computeSecret(senderKey), auth, info, 32);
  const key = hkdfSync('sha256', Buffer.from(secret), salt, 'Content-Encoding: aes128gcm\0', 16);
  const nonce = hkdfSync('sha256', Buffer.from(secret), salt, 'Content-Encoding: nonce\0', 12);
  const decipher = createDecipheriv('aes-128-gcm', Buffer.from(key), Buffer.from(nonce));
  decipher.setAuthTag(sealed.subarray(-16));
  const padded = Buffer.concat([decipher.update(sealed.subarray(0, -16)), decipher.final()]);
  const delimiter = padded.lastIndexOf(2);
  return padded.subarray(0, delimiter).toString('utf8');
}

/**
 * Whether the sender signed for this service, by RFC 8292: a JWT over ES256, its audience the origin of the endpoint,
 * valid for at most 24 h, its contact an address.
 *
 * @param request headers, origin and the present in s
 * @returns what the token says, or null when it does not fit
 */
export function vapidOf({
  headers,
  origin,
  nowS,
}: {
  headers: IncomingHttpHeaders;
  origin: string;
  nowS: number;
}) {
  const [, token = '', key = ''] = /^vapid t=([^,]+), ?k=(.+)$/.exec(headers.authorization ?? '') ?? [];
  const [head = '', claims = '', signature = ''] = token.split('.');
  const point = Buffer.from(key, 'base64url');
  if (point.length !== 65) return null;
  const jwk = {
    kty: 'EC',
    crv: 'P-256',
    x: point.subarray(1, 33).toString('base64url'),
    y: point.subarray(33).toString('base64url'),
  };
  const publicKey = { key: createPublicKey({ key: jwk, format: 'jwk' }), dsaEncoding: 'ieee-p1363' as const };
  const signed = verify(
    'sha256',
    Buffer.from(`${head}.${claims}`),
    publicKey,
    Buffer.from(signature, 'base64url'),
  );
  const said = JSON.parse(Buffer.from(claims, 'base64url').toString('utf8')) as Record<string, unknown>;
  const lasts = Number(said['exp']) - nowS;
  const fits = signed && said['aud'] === origin && lasts > 0 && lasts <= 86_400;
  return fits ? { ...said, key } : null;
}

export type Pushed = {
  readonly headers: IncomingHttpHeaders;
  readonly text: string;
  readonly vapid: ReturnType<typeof vapidOf>;
};

export type PushService = {
  readonly subscription: { endpoint: string; keys: { p256dh: string; auth: string } };
  readonly pushed: Pushed[];
  /** what is answered from now on; 201 at first */
  answer(status: number, headers?: Readonly<Record<string, string>>): void;
  atLeast(count: number, withinMs: number): Promise<readonly Pushed[]>;
  close(): Promise<void>;
};

/**
 * A push service with one browser subscribed: takes messages by RFC 8030 and opens them as the browser would.
 *
 * @returns the service, once it listens
 */
export async function startPushService(): Promise<PushService> {
  const ecdh = createECDH('prime256v1');
  ecdh.generateKeys();
  const receiver = {
    privateKey: ecdh.getPrivateKey(),
    publicKey: ecdh.getPublicKey(),
    auth: randomBytes(16),
  };
  const pushed: Pushed[] = [];
  let status = 201;
  let extra: Readonly<Record<string, string>> = {};
  const port = await freePort();
  const origin = `http://127.0.0.1:${port}`;
  const server = createServer(async (request, response) => {
    const chunks: Buffer[] = [];
    for await (const chunk of request) chunks.push(Buffer.from(chunk));
    const { headers } = request;
    if (status === 201) {
      const text = openPush(Buffer.concat(chunks), receiver);
      pushed.push({ headers, text, vapid: vapidOf({ headers, origin, nowS: Date.now() / 1000 }) });
    }
    response.writeHead(status, status === 201 ? { location: `${origin}/message/1` } : extra).end();
  });
  const listening = Promise.withResolvers<void>();
  server.once('error', listening.reject).listen({ port, host: '127.0.0.1' }, listening.resolve);
  await listening.promise;
  const keys = {
    p256dh: receiver.publicKey.toString('base64url'),
    auth: receiver.auth.toString('base64url'),
  };
  return {
    subscription: { endpoint: `${origin}/push/1`, keys },
    pushed,
    answer: (next, headers = {}) => {
      status = next;
      extra = headers;
    },
    atLeast: (count, withinMs) =>
      until(() => (pushed.length >= count ? pushed : null), { what: `${count} pushed`, withinMs }),
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  };
}
