import { once } from 'node:events';
import { connect, type Socket } from 'node:net';

/** Messages of one client on one topic, as bytes ready to be sent. */
export type Volley = { readonly bytes: Buffer; readonly ends: readonly number[] };

/** Clean session, no keep-alive, and no client name: the broker makes one up. */
const CONNECT_311 = Buffer.from([0x10, 0x0c, 0, 4, 0x4d, 0x51, 0x54, 0x54, 4, 0x02, 0, 0, 0, 0]);
const CONNACK_BYTES = 4;
const PUBACK_BYTES = 4;
const PUBLISH_QOS_1 = 0x32;

/**
 * Encodes MQTT 3.1.1 PUBLISH packets with QoS 1, one behind the other.
 *
 * @param topic where they go
 * @param payloads one a packet
 */
export function volleyOf(topic: string, payloads: readonly string[]): Volley {
  const packets = payloads.map((payload, index) => publishPacket(topic, payload, 1 + (index % 0xffff)));
  let end = 0;
  const ends = packets.map((packet) => {
    end += packet.length;
    return end;
  });
  return { bytes: Buffer.concat(packets), ends };
}

function publishPacket(topic: string, payload: string, id: number): Buffer {
  const name = Buffer.from(topic);
  const content = Buffer.from(payload);
  const head = Buffer.from([name.length >> 8, name.length & 0xff]);
  const identifier = Buffer.from([id >> 8, id & 0xff]);
  const body = Buffer.concat([head, name, identifier, content]);
  return Buffer.concat([Buffer.from([PUBLISH_QOS_1, ...remainingLength(body.length)]), body]);
}

/** Groups of 7 bits, the lowest first, as MQTT 3.1.1 section 2.2.3 has it. */
function remainingLength(bytes: number): number[] {
  return bytes < 128 ? [bytes] : [(bytes % 128) | 0x80, ...remainingLength(bytes >> 7)];
}

/**
 * Publishes volleys at once, each over its own bare socket, so that the sender costs next to nothing.
 *
 * @param port of a broker on the loopback address
 * @param volleys one a client
 * @param underWay how many messages a client may have unacknowledged
 * @returns seconds from the first message to the last acknowledgement
 */
export async function fire(port: number, volleys: readonly Volley[], underWay: number): Promise<number> {
  const sockets = await Promise.all(volleys.map(() => connected(port)));
  const startMs = performance.now();
  await Promise.all(volleys.map((volley, index) => send(sockets[index], volley, underWay)));
  const seconds = (performance.now() - startMs) / 1000;
  for (const socket of sockets) socket.destroy();
  return seconds;
}

async function connected(port: number): Promise<Socket> {
  const socket = connect({ port, host: '127.0.0.1', noDelay: true });
  await once(socket, 'connect');
  socket.write(CONNECT_311);
  const [answer] = await once(socket, 'data');
  if (!(answer instanceof Buffer) || answer.length !== CONNACK_BYTES || answer[3] !== 0)
    throw new Error('the broker refused the connection');
  return socket;
}

async function send(socket: Socket | undefined, { bytes, ends }: Volley, underWay: number): Promise<void> {
  if (socket === undefined) throw new Error('no connection for a volley');
  const { promise, resolve, reject } = Promise.withResolvers<void>();
  let sent = 0;
  let ackedBytes = 0;
  const sendUpTo = (count: number) => {
    const next = Math.min(count, ends.length);
    if (next > sent) socket.write(bytes.subarray(ends[sent - 1] ?? 0, ends[next - 1]));
    sent = Math.max(sent, next);
  };
  socket.on('data', (chunk: Buffer) => {
    ackedBytes += chunk.length;
    const acked = Math.floor(ackedBytes / PUBACK_BYTES);
    if (acked === ends.length) resolve();
    else sendUpTo(acked + underWay);
  });
  socket.once('close', () => reject(new Error('the broker cut the connection')));
  sendUpTo(underWay);
  await promise;
}
