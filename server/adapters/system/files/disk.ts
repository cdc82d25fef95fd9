import { statfsSync } from 'node:fs';
import { connect } from 'node:net';

/** How long a port is given to answer, ms. */
const REACH_WITHIN_MS = 1_000;

/** Bytes this process may still write to the disk of a folder. */
export function freeBytes(folder: string): number {
  const { bavail, bsize } = statfsSync(folder);
  return bavail * bsize;
}

/** Whether somebody takes connections there. */
export function answersAt({ host, port }: { host: string; port: number }): Promise<boolean> {
  const { promise, resolve } = Promise.withResolvers<boolean>();
  const socket = connect({ host, port, timeout: REACH_WITHIN_MS });
  const settle = (reached: boolean) => {
    socket.destroy();
    resolve(reached);
  };
  socket.once('connect', () => settle(true));
  socket.once('error', () => settle(false));
  socket.once('timeout', () => settle(false));
  return promise;
}
