import { connect, createServer } from 'node:net';

/** Below those that systems give to outgoing connections, which could take a port between its choice and its use. */
const FIRST = 10_240;
const COUNT = 20_000;
/** Each process of tests begins elsewhere. */
let asked = process.pid * 97;

/**
 * A TCP port of the loopback address that nobody listens on now.
 *
 * @returns the port number, 10240–30239
 */
export async function freePort(): Promise<number> {
  for (;;) {
    asked += 1;
    const port = FIRST + (asked % COUNT);
    if (await canListen(port)) return port;
  }
}

function canListen(port: number): Promise<boolean> {
  const { promise, resolve } = Promise.withResolvers<boolean>();
  const server = createServer();
  server.once('error', () => resolve(false));
  server.listen({ port, host: '127.0.0.1' }, () => server.close(() => resolve(true)));
  return promise;
}

/**
 * Whether somebody listens on a port of the loopback address.
 *
 * @param port the port number
 * @returns true when a connection is accepted
 */
export function isListening(port: number): Promise<boolean> {
  const { promise, resolve } = Promise.withResolvers<boolean>();
  const socket = connect({ port, host: '127.0.0.1' });
  socket.once('connect', () => {
    socket.destroy();
    resolve(true);
  });
  socket.once('error', () => resolve(false));
  return promise;
}
