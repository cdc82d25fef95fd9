import { createServer, type IncomingHttpHeaders } from 'node:http';
import type { Moments } from './moments.ts';
import { freePort } from './ports.ts';
import { until } from './wait.ts';

export type WebhookRequest = {
  readonly method: string;
  readonly path: string;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
  /** true when it was answered with 200 */
  readonly delivered: boolean;
};

export type Webhook = {
  readonly url: string;
  readonly requests: readonly WebhookRequest[];
  readonly moments: Moments;
  /** the requests answered with 200, once there are so many */
  deliveredAtLeast(count: number, withinMs: number): Promise<readonly WebhookRequest[]>;
  close(): Promise<void>;
};

export type WebhookOptions = {
  /** how many requests are refused at first; none by default */
  readonly refuseFirst?: number;
  /** with what; 500 by default */
  readonly status?: number;
  readonly headers?: Readonly<Record<string, string>>;
};

/**
 * A receiver that notes every request and may refuse the first ones.
 *
 * @param options how many requests to refuse, and how
 * @returns the receiver, once it listens
 */
export async function startWebhook(options: WebhookOptions = {}): Promise<Webhook> {
  const requests: WebhookRequest[] = [];
  const moments: Moments = { onArrival: null, onDelivery: null };
  const server = createServer(async (request, response) => {
    const chunks: Buffer[] = [];
    for await (const chunk of request) chunks.push(Buffer.from(chunk));
    const taken = requests.length >= (options.refuseFirst ?? 0);
    requests.push({
      method: request.method ?? '',
      path: request.url ?? '',
      headers: request.headers,
      body: Buffer.concat(chunks).toString('utf8'),
      delivered: taken,
    });
    await moments.onDelivery?.();
    const { status = 500, headers = {} } = options;
    response.writeHead(taken ? 200 : status, taken ? {} : headers).end();
  });
  server.on('connection', (socket) => {
    if (moments.onArrival === null) return;
    moments.onArrival();
    socket.destroy();
  });
  const port = await freePort();
  const listening = Promise.withResolvers<void>();
  server.once('error', listening.reject).listen({ port, host: '127.0.0.1' }, listening.resolve);
  await listening.promise;
  return {
    url: `http://127.0.0.1:${port}/alarm`,
    requests,
    moments,
    deliveredAtLeast: (count, withinMs) =>
      until(
        () => {
          const taken = requests.filter((request) => request.delivered);
          return taken.length >= count ? taken : null;
        },
        { what: `${count} webhook requests taken`, withinMs },
      ),
    close: () => {
      const closed = Promise.withResolvers<void>();
      server.close(() => closed.resolve());
      server.closeAllConnections();
      return closed.promise;
    },
  };
}
