/** The polynomial of ISO 3309 and IEEE 802.3, bits reversed. */
const POLYNOMIAL = 0xedb88320;

/** Bytes taken at once: each has a table of its own, of what it comes to with so many more behind it. */
const AT_ONCE = 8;
const BYTE_VALUES = 256;

const TABLES = new Int32Array(AT_ONCE * BYTE_VALUES);
for (let byte = 0; byte < BYTE_VALUES; byte++) {
  let rest = byte;
  for (let bit = 0; bit < 8; bit++) rest = rest & 1 ? (rest >>> 1) ^ POLYNOMIAL : rest >>> 1;
  TABLES[byte] = rest;
}
for (let i = BYTE_VALUES; i < TABLES.length; i++) {
  const before = TABLES[i - BYTE_VALUES] as number;
  TABLES[i] = (TABLES[before & 0xff] as number) ^ (before >>> 8);
}

/**
 * Checksum that finds every single flipped bit, and every damage that lies within 32 bits.
 * @param bytes any bytes
 * @param end where to stop, 0 to the number of bytes
 * @returns 0 to 2³² − 1
 * @example crc32(new TextEncoder().encode('123456789'), 9) // 0xcbf43926
 */
export function crc32(bytes: Uint8Array, end: number): number {
  let rest = -1;
  let i = 0;
  for (const last = end - AT_ONCE; i <= last; i += AT_ONCE) {
    rest ^=
      (bytes[i] as number) |
      ((bytes[i + 1] as number) << 8) |
      ((bytes[i + 2] as number) << 16) |
      ((bytes[i + 3] as number) << 24);
    rest =
      (TABLES[1792 + (rest & 0xff)] as number) ^
      (TABLES[1536 + ((rest >>> 8) & 0xff)] as number) ^
      (TABLES[1280 + ((rest >>> 16) & 0xff)] as number) ^
      (TABLES[1024 + (rest >>> 24)] as number) ^
      (TABLES[768 + (bytes[i + 4] as number)] as number) ^
      (TABLES[512 + (bytes[i + 5] as number)] as number) ^
      (TABLES[256 + (bytes[i + 6] as number)] as number) ^
      (TABLES[bytes[i + 7] as number] as number);
  }
  for (; i < end; i++) {
    rest = (TABLES[(rest ^ (bytes[i] as number)) & 0xff] as number) ^ (rest >>> 8);
  }
  return ~rest >>> 0;
}
