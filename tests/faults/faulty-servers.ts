import { connect, createServer, type Socket } from 'node:net';
import { freePort } from '../support/ports.ts';

export type FaultyServer = {
  readonly port: number;
  /** keeps the next who come busy, until one of them gives up */
  shut(): void;
  close(): void;
};

const LETTER_EVERY_MS = 200;

/** Stands before a mail server: passes all on, but answers a letter at a time while it is shut. */
export function dribblingServer(behindPort: number): Promise<FaultyServer> {
  return openServer((socket, faulty) => {
    if (faulty.isShut) dribble(socket, faulty.open);
    else passOn(socket, behindPort);
  });
}

/** Takes whatever is said, and never answers. */
export function silentServer(): Promise<FaultyServer> {
  return openServer((socket) => void socket.resume());
}

type State = { isShut: boolean; readonly open: () => void };

async function openServer(meet: (socket: Socket, state: State) => void): Promise<FaultyServer> {
  const sockets = new Set<Socket>();
  const state: State = {
    isShut: false,
    open: () => {
      state.isShut = false;
    },
  };
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('error', () => undefined);
    socket.on('close', () => sockets.delete(socket));
    meet(socket, state);
  });
  const port = await freePort();
  const listening = Promise.withResolvers<void>();
  server.once('error', listening.reject).listen(port, '127.0.0.1', listening.resolve);
  await listening.promise;
  return {
    port,
    shut: () => {
      state.isShut = true;
    },
    close() {
      for (const socket of sockets) socket.destroy();
      server.close();
    },
  };
}

/** A greeting of many lines that never comes to its last. */
function dribble(socket: Socket, givenUp: () => void): void {
  const greeting = '220-wait a moment\r\n';
  let at = 0;
  socket.resume();
  const timer = setInterval(() => socket.write(greeting.charAt(at++ % greeting.length)), LETTER_EVERY_MS);
  socket.on('close', () => {
    clearInterval(timer);
    givenUp();
  });
}

function passOn(socket: Socket, port: number): void {
  const behind = connect(port, '127.0.0.1');
  behind.on('error', () => socket.destroy());
  behind.on('close', () => socket.end());
  socket.on('close', () => behind.end());
  socket.pipe(behind).pipe(socket);
}
