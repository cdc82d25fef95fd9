import { connect, createServer, type Socket } from 'node:net';
import { freePort } from './ports.ts';

export type PubackWatch = {
  /** what to connect to instead of the broker */
  readonly port: number;
  /** breaks every connection that passes here; asked while a packet comes by, that one is not passed on */
  cut(): void;
  close(): Promise<void>;
};

/** Control packet type 4 of MQTT 3.1.1 and 5, with its reserved flags. */
const PUBACK = 0x40;
/** Type 5: what the receiver of a message of QoS 2 answers first. */
export const PUBREC = 0x50;

/**
 * Stands between an MQTT client and a broker, passes every byte on and says when a PUBACK comes by.
 *
 * @param options the broker's port, whose PUBACKs (or other packets) to look for, and what to do at each, before it is passed on
 * @returns the watch, once it takes connections
 */
export async function watchPubacks(options: {
  readonly brokerPort: number;
  readonly sentBy: 'client' | 'broker';
  readonly onPuback: () => void;
  readonly packet?: number;
}): Promise<PubackWatch> {
  const sockets = new Set<Socket>();
  const server = createServer((client) => {
    const broker = connect({ port: options.brokerPort, host: '127.0.0.1' });
    for (const [from, to, sender] of [
      [client, broker, 'client'],
      [broker, client, 'broker'],
    ] as const) {
      sockets.add(from);
      const read =
        sender === options.sentBy
          ? packetReader(options.onPuback, options.packet ?? PUBACK)
          : () => undefined;
      from.on('data', (bytes: Buffer) => {
        read(bytes);
        if (!to.destroyed) to.write(bytes);
      });
      from.on('error', () => to.destroy());
      from.on('close', () => {
        sockets.delete(from);
        to.destroy();
      });
    }
  });
  const port = await freePort();
  const listening = Promise.withResolvers<void>();
  server.once('error', listening.reject).listen({ port, host: '127.0.0.1' }, listening.resolve);
  await listening.promise;
  const cut = () => {
    for (const socket of sockets) socket.destroy();
  };
  return {
    port,
    cut,
    close: () => {
      const closed = Promise.withResolvers<void>();
      server.close(() => closed.resolve());
      cut();
      return closed.promise;
    },
  };
}

/** Follows the packets of one direction: a type byte, the length in groups of 7 bits, then so many bytes. */
function packetReader(onPuback: () => void, wanted: number): (bytes: Buffer) => void {
  let type: number | null = null;
  let lengthBits = 0;
  let length = 0;
  let remaining = 0;
  return (bytes) => {
    for (let at = 0; at < bytes.length; ) {
      if (remaining > 0) {
        const passed = Math.min(remaining, bytes.length - at);
        remaining -= passed;
        at += passed;
        continue;
      }
      const byte = bytes[at++] ?? 0;
      if (type === null) {
        type = byte;
        [lengthBits, length] = [0, 0];
        continue;
      }
      length += (byte & 0x7f) * 2 ** lengthBits;
      lengthBits += 7;
      if (byte >= 0x80) continue;
      if (type === wanted) onPuback();
      [type, remaining] = [null, length];
    }
  };
}
