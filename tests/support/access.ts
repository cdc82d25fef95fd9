import { writeFileSync } from 'node:fs';
import { networkInterfaces } from 'node:os';
import { join } from 'node:path';
import { WebSocket } from 'ws';
import { startChild } from './child.ts';
import { type Ended, LAUNCHER } from './command.ts';
import { plainEnvironment } from './environment.ts';
import { temporaryFolder } from './folders.ts';
import { checkFrame } from './sent-check.ts';

/**
 * An address of this machine that others would reach it by; the loopback address where there is no network.
 *
 * @returns an IPv4 address
 */
export function outerAddress(): string {
  const all = Object.values(networkInterfaces()).flatMap((addresses) => addresses ?? []);
  return all.find(({ family, internal }) => family === 'IPv4' && !internal)?.address ?? '127.0.0.1';
}

/**
 * Runs `strikewell owner` with the password on its standard input, from a file.
 *
 * @param dataDir the data folder
 * @param password what stands on the first line
 * @returns its exit code and all it said
 */
export async function runOwner(dataDir: string, password: string): Promise<Ended> {
  const file = join(temporaryFolder('input'), 'line');
  writeFileSync(file, `${password}\n`);
  const child = startChild({
    command: 'sh',
    args: ['-c', 'exec "$0" "$1" owner < "$2"', process.execPath, LAUNCHER, file],
    env: plainEnvironment({ STRIKEWELL_DATA_DIR: dataDir }),
  });
  const { code } = await child.exit;
  return { code, stdout: child.stdout(), stderr: child.stderr() };
}

export type RequestOf = {
  readonly status: number;
  readonly text: string;
  /** the first pair of the cookie that was set, as a browser would send it back */
  readonly cookie: string;
};

/**
 * Asks a daemon as a browser with a cookie would.
 *
 * @param url the whole address
 * @param options method, body, cookie and Origin
 * @returns status, body and the cookie that was set
 */
export async function askAs(
  url: string,
  options: {
    readonly method?: string;
    readonly body?: unknown;
    readonly cookie?: string;
    readonly origin?: string;
  } = {},
): Promise<RequestOf> {
  const { method = 'GET', body, cookie, origin } = options;
  const response = await fetch(url, {
    method,
    headers: {
      ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      ...(cookie === undefined ? {} : { cookie }),
      ...(origin === undefined ? {} : { origin }),
    },
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  });
  const [set = ''] = response.headers.getSetCookie();
  return { status: response.status, text: await response.text(), cookie: set.split(';')[0] ?? '' };
}

export type Listening = {
  /** types of the messages so far */
  readonly types: readonly string[];
  /** settles with the code the connection was closed with */
  readonly closed: Promise<number>;
  close(): void;
};

/**
 * Opens the live feed.
 *
 * @param url of the websocket
 * @param headers Cookie and Origin
 * @returns the connection after its first message, or the HTTP status it was refused with
 */
export function listenLive(
  url: string,
  headers: Readonly<Record<string, string>> = {},
): Promise<Listening | number> {
  const socket = new WebSocket(url, { headers });
  const { promise, resolve, reject } = Promise.withResolvers<Listening | number>();
  const closed = Promise.withResolvers<number>();
  const types: string[] = [];
  socket.on('unexpected-response', (_request, response) => {
    resolve(response.statusCode ?? 0);
    socket.terminate();
  });
  socket.on('error', reject);
  socket.on('close', (code) => closed.resolve(code));
  socket.on('message', (data) => {
    checkFrame(String(data));
    types.push(String((JSON.parse(String(data)) as { type: unknown }).type));
    resolve({ types, closed: closed.promise, close: () => socket.close() });
  });
  return promise;
}
