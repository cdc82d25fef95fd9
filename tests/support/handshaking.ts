import type { Socket } from 'node:net';
import { packetOf, rawClient, textOf } from './raw-mqtt.ts';
import { until } from './wait.ts';

/** First bytes of packets of MQTT 3.1.1, section 2.2.1: the type, and the flags that are reserved. */
const TYPES = { connack: 0x20, puback: 0x40, pubrec: 0x50, pubrel: 0x62, pubcomp: 0x70 } as const;
export type Answer = keyof typeof TYPES;

export type HandshakingClient = {
  /** sends bytes as they are */
  send(...packets: readonly Buffer[]): void;
  /** waits until that many answers of a type came on this connection */
  answered(type: Answer, count: number): Promise<void>;
  /** breaks off without a word */
  breakOff(): void;
};

/**
 * Connects to a broker as a client that sends whatever bytes it is told to.
 *
 * @param port of a broker on the loopback address
 * @param options its name, and whether its session begins again
 * @returns the client, once the broker has accepted it
 */
export async function connectRaw(
  port: number,
  { clientId, clean }: { readonly clientId: string; readonly clean: boolean },
): Promise<HandshakingClient> {
  const { socket } = await rawClient(port);
  const types = listen(socket);
  const answered = async (type: Answer, count: number) => {
    const came = () => (types.filter((byte) => byte === TYPES[type]).length >= count ? true : null);
    await until(came, { what: `${type} number ${count}`, withinMs: 20_000 });
  };
  const name = textOf(clientId);
  socket.write(packetOf(0x10, Buffer.concat([textOf('MQTT'), Buffer.from([4, clean ? 2 : 0, 0, 0]), name])));
  await answered('connack', 1);
  return {
    send: (...packets) => void socket.write(Buffer.concat(packets)),
    answered,
    breakOff: () => socket.resetAndDestroy(),
  };
}

/** The first bytes of the packets that come; what is looked for here is shorter than 128 bytes. */
function listen(socket: Socket): number[] {
  const types: number[] = [];
  let bytes = Buffer.alloc(0);
  socket.on('error', () => undefined);
  socket.on('data', (more) => {
    bytes = Buffer.concat([bytes, more]);
    while (bytes.length >= 2 && bytes.length >= 2 + (bytes[1] ?? 0)) {
      types.push(bytes[0] ?? 0);
      bytes = bytes.subarray(2 + (bytes[1] ?? 0));
    }
  });
  return types;
}

/** A PUBLISH of QoS 2 with its identifier; `dup` says that it may have been sent before. */
export function publishQos2(message: {
  readonly topic: string;
  readonly payload: string;
  readonly id: number;
  readonly dup: boolean;
}): Buffer {
  const { topic, payload, id, dup } = message;
  return packetOf(dup ? 0x3c : 0x34, Buffer.concat([textOf(topic), identifier(id), Buffer.from(payload)]));
}

/** A PUBREL for an identifier. */
export function pubrel(id: number): Buffer {
  return packetOf(TYPES.pubrel, identifier(id));
}

function identifier(id: number): Buffer {
  return Buffer.from([id >> 8, id & 0xff]);
}
