import { crc32 } from './crc32.ts';
import { BlockDamaged } from './damaged.ts';

/** Every block and group ends with the checksum of all bytes before it. */
export const CHECKSUM_BYTES = 4;

/** Bytes to write into, with room for all that will come, and how far they are written. */
export type Sink = { readonly bytes: Uint8Array; at: number };

/** Bytes to read from, how far they are read, and where the checksum begins. */
export type Source = { readonly bytes: Uint8Array; readonly end: number; at: number };

/**
 * Writes a whole number in groups of 7 bits, lowest first, 128 added to each byte but the last.
 * @param sink where to write, at most 8 bytes
 * @param whole 0 to 2⁵³ − 1
 */
export function writeWhole(sink: Sink, whole: number): void {
  let rest = whole;
  while (rest >= 128) {
    sink.bytes[sink.at++] = (rest % 128) + 128;
    rest = Math.floor(rest / 128);
  }
  sink.bytes[sink.at++] = rest;
}

/**
 * Reads what writeWhole wrote.
 * @param source where to read
 * @returns 0 to 2⁵³ − 1
 * @throws BlockDamaged when the number does not end, or is above 2⁵³ − 1
 */
export function readWhole(source: Source): number {
  let whole = 0;
  for (let weight = 1; weight <= 2 ** 49; weight *= 128) {
    const byte = readByte(source);
    whole += (byte & 127) * weight;
    if (byte < 128 && whole <= Number.MAX_SAFE_INTEGER) return whole;
  }
  throw new BlockDamaged('a whole number is above 2^53 - 1');
}

/**
 * Writes a 32-bit number of either sign, the small ones short: 0, −1, 1, −2 … as 0, 1, 2, 3 …
 * @param sink where to write, at most 5 bytes
 * @param signed −2³¹ to 2³¹ − 1
 */
export function writeSigned(sink: Sink, signed: number): void {
  writeWhole(sink, ((signed << 1) ^ (signed >> 31)) >>> 0);
}

/**
 * Reads what writeSigned wrote.
 * @param source where to read
 * @returns −2³¹ to 2³¹ − 1
 * @throws BlockDamaged as readWhole
 */
export function readSigned(source: Source): number {
  const folded = readWhole(source);
  return (folded >>> 1) ^ -(folded & 1);
}

/**
 * Reads one byte.
 * @param source where to read
 * @returns 0 to 255
 * @throws BlockDamaged when none is left
 */
export function readByte(source: Source): number {
  if (source.at >= source.end) throw new BlockDamaged('the bytes end too early');
  return source.bytes[source.at++] as number;
}

/**
 * Ends what was written with its checksum.
 * @param sink what was written, with room for 4 more bytes
 * @returns a copy of exactly the bytes written
 */
export function closed(sink: Sink): Uint8Array {
  viewOf(sink.bytes).setUint32(sink.at, crc32(sink.bytes, sink.at), true);
  return sink.bytes.slice(0, sink.at + CHECKSUM_BYTES);
}

/**
 * Opens stored bytes once their checksum is found right.
 * @param bytes as returned by closed
 * @param atLeast bytes that must stand before the checksum
 * @returns a source at the first byte
 * @throws BlockDamaged when bytes are missing or altered
 */
export function opened(bytes: Uint8Array, { atLeast }: { readonly atLeast: number }): Source {
  const end = bytes.length - CHECKSUM_BYTES;
  if (end < atLeast)
    throw new BlockDamaged(`${bytes.length} bytes; expected ${atLeast + CHECKSUM_BYTES} or more`);
  const stored = viewOf(bytes).getUint32(end, true);
  const found = crc32(bytes, end);
  if (stored !== found) throw new BlockDamaged(`checksum ${hex(found)}; expected ${hex(stored)}`);
  return { bytes, end, at: 0 };
}

/**
 * Refuses bytes left over between what was read and the checksum.
 * @param source read to its end
 * @throws BlockDamaged when it is not
 */
export function checkAllRead(source: Source): void {
  if (source.at !== source.end) throw new BlockDamaged(`${source.end - source.at} bytes too many`);
}

/**
 * The bytes as numbers of several bytes.
 * @param bytes any bytes
 * @returns a view of the same memory
 */
export function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

function hex(checksum: number): string {
  return checksum.toString(16).padStart(8, '0');
}
