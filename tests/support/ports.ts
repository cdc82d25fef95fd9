import { connect, createServer } from 'node:net';

/**
 * A TCP port of the loopback address that nobody listens on now.
 *
 * @returns the port number
 */
export function freePort(): Promise<number> {
  const { promise, resolve, reject } = Promise.withResolvers<number>();
  const server = createServer();
  server.once('error', reject);
  server.listen({ port: 0, host: '127.0.0.1' }, () => {
    const address = server.address();
    server.close(() => {
      if (address !== null && typeof address !== 'string') resolve(address.port);
      else reject(new Error('the system gave no port'));
    });
  });
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
