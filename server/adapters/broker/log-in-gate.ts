import type { Server, Socket } from 'node:net';
import { plainAddress } from '../../domain/access/address.ts';
import { peerOf } from '../../domain/limits/peer.ts';
import { createPlaces } from '../../domain/limits/places.ts';
import type { Limits } from '../../domain/limits/table.ts';
import type { Timers } from '../../ports.ts';

type LogInGateDeps = {
  readonly limits: Limits;
  readonly after: Timers['after'];
  readonly turnedAway: (why: 'too-many-connections' | 'no-login-in-time', address: string) => void;
};

/**
 * The connections that have not logged in yet: bounded in number and time, from the first byte on, a TLS handshake
 * included. Whoever has waited longest makes room, so a flood that never logs in pushes itself out.
 */
export function createLogInGate({ limits, after, turnedAway }: LogInGateDeps) {
  const waits = new Map<Socket, () => void>();
  const places = createPlaces<Socket>(
    { inAll: limits.mqttPendingInAll, perAddress: limits.mqttPendingPerAddress },
    () => true,
  );
  const leave = (socket: Socket) => {
    waits.get(socket)?.();
    waits.delete(socket);
    places.leave(socket);
  };
  const end = (socket: Socket, why: 'too-many-connections' | 'no-login-in-time') => {
    if (!waits.has(socket)) return;
    leave(socket);
    turnedAway(why, addressOf(socket));
    socket.destroy();
  };
  return {
    count: places.count,
    /** Watches a new connection. */
    knocked(socket: Socket) {
      const stopWait = after(limits.mqttConnectWithinMs, () => end(socket, 'no-login-in-time'));
      waits.set(socket, stopWait);
      socket.once('close', () => leave(socket));
      const place = places.take(socket, addressOf(socket));
      if (place === null) return end(socket, 'too-many-connections');
      if (place.evicted !== null) end(place.evicted, 'too-many-connections');
    },
    loggedIn: leave,
    /** Ends all that have not logged in. */
    close() {
      for (const socket of [...waits.keys()]) {
        leave(socket);
        socket.destroy();
      }
    },
  };
}

export type LogInGate = ReturnType<typeof createLogInGate>;

/** The connection beneath each encrypted one, by its other end, which is one of a kind while it is open. */
export function connectionsBeneath(server: Server): (secure: Socket) => Socket | null {
  const open = new Map<string, Socket>();
  server.on('connection', (socket: Socket) => {
    const key = peerOf(socket);
    open.set(key, socket);
    socket.once('close', () => {
      if (open.get(key) === socket) open.delete(key);
    });
  });
  return (secure) => open.get(peerOf(secure)) ?? null;
}

function addressOf({ remoteAddress }: Socket): string {
  return plainAddress(remoteAddress ?? '');
}
