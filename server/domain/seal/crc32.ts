/** The polynomial of ISO 3309 and IEEE 802.3, bits reversed. */
const POLYNOMIAL = 0xedb88320;

const TABLE = Int32Array.from({ length: 256 }, (_, byte) => {
  let rest = byte;
  for (let bit = 0; bit < 8; bit++) rest = rest & 1 ? (rest >>> 1) ^ POLYNOMIAL : rest >>> 1;
  return rest;
});

/**
 * Checksum that finds every single flipped bit, and every damage that lies within 32 bits.
 * @param bytes any bytes
 * @param end where to stop, 0 to the number of bytes
 * @returns 0 to 2³² − 1
 * @example crc32(new TextEncoder().encode('123456789'), 9) // 0xcbf43926
 */
export function crc32(bytes: Uint8Array, end: number): number {
  let rest = -1;
  for (let i = 0; i < end; i++) {
    rest = (TABLE[(rest ^ (bytes[i] as number)) & 0xff] as number) ^ (rest >>> 8);
  }
  return ~rest >>> 0;
}
