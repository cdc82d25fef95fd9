import { createServer, type Server, type Socket } from 'node:net';
import { createServer as createSecureServer } from 'node:tls';
import { Fault } from '../../../shared/faults.ts';
import type { Limits } from '../../domain/limits/table.ts';
import { connectionsBeneath, type LogInGate } from './log-in-gate.ts';

type Listening = {
  readonly host: string;
  /** the plain port, or null for none */
  readonly port: number | null;
  /** where and with what it listens encrypted, or null */
  readonly secure: { readonly port: number; readonly cert: Buffer; readonly key: Buffer } | null;
  readonly limits: Limits;
  readonly logInGate: LogInGate;
  /** takes a connection, decrypted, over the one that came */
  readonly handle: (socket: Socket, beneath: Socket) => void;
  readonly warn: (message: string, error: Error) => void;
};

/**
 * Opens the plain port and the encrypted one, where they are wanted.
 * @throws Fault `port-in-use` or `bad-setting` when one cannot be had
 */
export async function openServers(deps: Listening): Promise<Server[]> {
  const { host, port, secure } = deps;
  const open: Server[] = [];
  try {
    if (port !== null)
      open.push(await listen(plainServer(deps), { key: 'STRIKEWELL_MQTT_PORT', host, port }, deps));
    if (secure !== null) {
      const address = { key: 'STRIKEWELL_MQTTS_PORT', host, port: secure.port };
      open.push(await listen(secureServer(deps, secure), address, deps));
    }
    return open;
  } catch (cause) {
    for (const server of open) server.close();
    throw cause;
  }
}

function plainServer({ logInGate, handle }: Listening): Server {
  return createServer((socket) => {
    logInGate.knocked(socket);
    if (!socket.destroyed) handle(socket, socket);
  });
}

function secureServer(deps: Listening, { cert, key }: NonNullable<Listening['secure']>): Server {
  const { logInGate, handle, limits } = deps;
  const server = createSecureServer({ cert, key, handshakeTimeout: limits.mqttConnectWithinMs });
  server.on('connection', logInGate.knocked);
  const beneath = connectionsBeneath(server);
  server.on('secureConnection', (socket) => {
    const below = beneath(socket);
    if (below === null) socket.destroy();
    else handle(socket, below);
  });
  server.on('tlsClientError', (error, socket) => {
    deps.warn('an encrypted connection was refused', error);
    socket.destroy();
  });
  return server;
}

type Address = { readonly key: string; readonly host: string; readonly port: number };

function listen(server: Server, address: Address, { limits, warn }: Listening): Promise<Server> {
  const { host, port } = address;
  server.maxConnections = limits.mqttPendingInAll + limits.mqttClientsInAll;
  return new Promise((resolve, reject) => {
    const failed = (cause: NodeJS.ErrnoException) => reject(listenFault(cause, address));
    server.once('error', failed);
    server.listen(port, host, () => {
      server.off('error', failed);
      // such as no file descriptor left: who is connected is served, and the next one may fit again
      server.on('error', (error) => warn('a connection could not be taken', error));
      resolve(server);
    });
  });
}

function listenFault(cause: NodeJS.ErrnoException, { key, host, port }: Address): Fault {
  if (cause.code === 'EADDRINUSE') {
    const message =
      `${key} ${port} is in use on ${host}: another broker listens there. ` +
      'Choose another port, or set STRIKEWELL_MQTT_URL to use that broker.';
    return new Fault({ code: 'port-in-use', message, cause });
  }
  const message = `The broker cannot listen on ${host}:${port}: ${cause.message}.`;
  return new Fault({ code: 'bad-setting', message, cause });
}
