/** Why the bytes of a client are no packets that are accepted. */
export type FrameFault = 'packet-too-large' | 'bad-packet';

/** What may be taken of the bytes that came. */
type Allowance = {
  /** largest remaining length of a packet, bytes */
  readonly bytes: number;
  readonly packets: number;
  /** whether the first packet must be a CONNECT */
  readonly connect: boolean;
};

/** Whole packets, how many of the bytes are used up by them or held for the next, and what is wrong. */
export type FramingResult = {
  readonly whole: Buffer | null;
  readonly packets: number;
  readonly used: number;
  readonly fault: FrameFault | null;
};

/** First byte of a CONNECT. @source MQTT 3.1.1 section 3.1.1 */
const CONNECT = 0x10;
/** Bytes of the remaining length at most. @source MQTT 3.1.1 section 2.2.3 */
const LENGTH_BYTES = 4;

/**
 * Cuts what a client sends into packets. The remaining length is read before anything is gathered, and what is
 * incomplete is gathered in one piece of memory of the packet's size, however many pieces it comes in.
 */
export function createFraming() {
  let head: Buffer = Buffer.alloc(0);
  let packet: Buffer | null = null;
  let filled = 0;

  const gather = (chunk: Buffer, from: number, total: number): FramingResult => {
    packet ??= Buffer.allocUnsafeSlow(total);
    const copied = chunk.copy(packet, filled, from);
    filled += copied;
    if (filled < total) return { whole: null, packets: 0, used: from + copied, fault: null };
    const whole = packet;
    packet = null;
    filled = 0;
    return { whole, packets: 1, used: from + copied, fault: null };
  };
  /** A packet whose first bytes came with an earlier chunk. */
  const goOn = (chunk: Buffer, allowed: Allowance): FramingResult => {
    if (packet !== null) return gather(chunk, 0, packet.length);
    const begun = head.length;
    const joined = Buffer.concat([head, chunk.subarray(0, LENGTH_BYTES + 1 - begun)]);
    const total = totalOf(joined, 0, allowed);
    if (typeof total === 'string') return faulty(total);
    head = total === null ? joined : Buffer.alloc(0);
    if (total === null) return { whole: null, packets: 0, used: joined.length - begun, fault: null };
    packet = Buffer.allocUnsafeSlow(total);
    filled = joined.copy(packet, 0, 0, begun);
    return gather(chunk, 0, total);
  };
  /** What is left at the end of a chunk, of which no packet is whole. */
  const begin = (chunk: Buffer, from: number, total: number | null): FramingResult => {
    if (total !== null) return gather(chunk, from, total);
    head = Buffer.from(chunk.subarray(from));
    return { whole: null, packets: 0, used: chunk.length, fault: null };
  };
  return {
    /** @param chunk at least one byte */
    take(chunk: Buffer, allowed: Allowance): FramingResult {
      if (packet !== null || head.length > 0) return goOn(chunk, allowed);
      let [at, packets] = [0, 0];
      while (packets < allowed.packets && at < chunk.length) {
        const total = totalOf(chunk, at, allowed);
        if (typeof total === 'string') return faulty(total);
        if (total === null || at + total > chunk.length) {
          return at === 0
            ? begin(chunk, 0, total)
            : { whole: upTo(chunk, at), packets, used: at, fault: null };
        }
        at += total;
        packets += 1;
      }
      return { whole: upTo(chunk, at), packets, used: at, fault: null };
    },
  };
}

/** Bytes of the packet that begins there; null when its length has not come yet. */
function totalOf(chunk: Buffer, at: number, allowed: Allowance): number | null | FrameFault {
  if (allowed.connect && chunk[at] !== CONNECT) return 'bad-packet';
  let length = 0;
  for (let index = 0; index < LENGTH_BYTES; index++) {
    const byte = chunk[at + 1 + index];
    if (byte === undefined) return null;
    length += (byte & 0x7f) * 128 ** index;
    if (length > allowed.bytes) return 'packet-too-large';
    if (byte < 0x80) return 1 + index + 1 + length;
  }
  return 'bad-packet';
}

function upTo(chunk: Buffer, at: number): Buffer | null {
  return at === 0 ? null : chunk.subarray(0, at);
}

function faulty(fault: FrameFault): FramingResult {
  return { whole: null, packets: 0, used: 0, fault };
}
