import { connect, type Socket } from 'node:net';

/** A connection whose bytes are written by hand. */
export type RawClient = {
  readonly socket: Socket;
  /** all that came */
  received(): Buffer;
  isClosed(): boolean;
};

/** Opens a connection and notes what comes; an error is a close like any other. */
export function rawClient(port: number, first: Buffer | null = null): Promise<RawClient> {
  return new Promise((resolve) => {
    let received = Buffer.alloc(0);
    let closed = false;
    const socket = connect(port, '127.0.0.1');
    const client = { socket, received: () => received, isClosed: () => closed };
    socket.setNoDelay(true);
    socket.on('data', (chunk: Buffer) => {
      received = Buffer.concat([received, chunk]);
    });
    socket.on('error', () => undefined);
    socket.on('close', () => {
      closed = true;
      resolve(client);
    });
    socket.on('connect', () => {
      if (first) socket.write(first);
      resolve(client);
    });
  });
}

/** Remaining length. @source MQTT 3.1.1 section 2.2.3 */
export function lengthOf(bytes: number): Buffer {
  const encoded: number[] = [];
  let left = bytes;
  do {
    encoded.push((left % 128) + (left >= 128 ? 128 : 0));
    left = Math.floor(left / 128);
  } while (left > 0);
  return Buffer.from(encoded);
}

export function packetOf(head: number, body: Buffer): Buffer {
  return Buffer.concat([Buffer.from([head]), lengthOf(body.length), body]);
}

export function textOf(text: string): Buffer {
  const bytes = Buffer.from(text);
  const length = Buffer.alloc(2);
  length.writeUInt16BE(bytes.length);
  return Buffer.concat([length, bytes]);
}

export type Connecting = {
  readonly id: string;
  readonly keepaliveS?: number;
  readonly login?: { readonly name: string; readonly secret: string };
  /** bytes of a Will */
  readonly willBytes?: number;
};

/** A CONNECT packet. @source MQTT 3.1.1 section 3.1 */
export function connectPacket({ id, keepaliveS = 60, login, willBytes = 0 }: Connecting): Buffer {
  const flags = 2 + (login ? 0xc0 : 0) + (willBytes > 0 ? 4 : 0);
  const head = Buffer.concat([textOf('MQTT'), Buffer.from([4, flags, keepaliveS >> 8, keepaliveS & 255])]);
  const will = willBytes > 0 ? [textOf('w'), textOf('x'.repeat(willBytes))] : [];
  const logins = login ? [textOf(login.name), textOf(login.secret)] : [];
  return packetOf(0x10, Buffer.concat([head, textOf(id), ...will, ...logins]));
}

/** A PUBLISH packet at QoS 1. @source MQTT 3.1.1 section 3.3 */
export function publishPacket(topic: string, payload: Buffer, packetId = 1): Buffer {
  const id = Buffer.from([packetId >> 8, packetId & 255]);
  return packetOf(0x32, Buffer.concat([textOf(topic), id, payload]));
}

/** A SUBSCRIBE packet at QoS 0. @source MQTT 3.1.1 section 3.8 */
export function subscribePacket(filters: readonly string[]): Buffer {
  const asked = filters.flatMap((filter) => [textOf(filter), Buffer.from([0])]);
  return packetOf(0x82, Buffer.concat([Buffer.from([0, 1]), ...asked]));
}

/** CONNACK: accepted; server unavailable. @source MQTT 3.1.1 section 3.2 */
export const ACCEPTED = Buffer.from([0x20, 2, 0, 0]);
export const UNAVAILABLE = Buffer.from([0x20, 2, 0, 3]);
