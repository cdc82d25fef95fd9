import { createServer, type Server, type Socket } from 'node:net';
import { onTestFinished } from 'vitest';
import { freePort } from './ports.ts';

export type Hanging = {
  readonly port: number;
  /** connections that were made, those still open, and bytes that were written into them */
  counts(): { readonly made: number; readonly open: number; readonly written: number };
};

/**
 * A server that behaves badly to whoever connects, for as long as the test lasts.
 *
 * @param misbehave what it does with each connection
 * @returns the server, once it listens
 */
export async function startHanging(misbehave: (socket: Socket) => void): Promise<Hanging> {
  const sockets = new Set<Socket>();
  let made = 0;
  let written = 0;
  const server: Server = createServer((socket) => {
    made += 1;
    sockets.add(socket);
    socket.on('error', () => undefined);
    socket.on('close', () => {
      written += socket.bytesWritten;
      sockets.delete(socket);
    });
    misbehave(socket);
  });
  const port = await freePort();
  const listening = Promise.withResolvers<void>();
  server.once('error', listening.reject).listen(port, '127.0.0.1', listening.resolve);
  await listening.promise;
  onTestFinished(() => {
    for (const socket of sockets) socket.destroy();
    server.close();
  });
  return { port, counts: () => ({ made, open: sockets.size, written }) };
}

/** Reads, and says nothing at all. */
export const silent = (socket: Socket): void => void socket.resume();

/** Writes a text again and again, one byte at a time. */
export function dribble(text: string, everyMs: number): (socket: Socket) => void {
  return (socket) => {
    let at = 0;
    socket.resume();
    const timer = setInterval(() => socket.write(text.charAt(at++ % text.length)), everyMs);
    socket.on('close', () => clearInterval(timer));
  };
}

/** Writes a beginning, and then a text without end, as fast as it is read. */
export function flood(first: string, text: string): (socket: Socket) => void {
  return (socket) => {
    const chunk = text.repeat(Math.ceil(16_384 / text.length));
    const more = () => {
      while (!socket.destroyed && socket.write(chunk));
    };
    socket.on('drain', more);
    socket.once('data', () => {
      socket.write(first);
      more();
    });
    socket.resume();
  };
}

/** The same without waiting to be spoken to first. */
export function floodAtOnce(text: string): (socket: Socket) => void {
  return (socket) => {
    const pour = flood('', text);
    pour(socket);
    socket.emit('data', Buffer.alloc(0));
  };
}
