import { deflateSync } from 'node:zlib';

/** CRC-32 of a chunk. @source [RFC2083] section 15 */
function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return (crc ^ 0xffffffff) >>> 0;
}

function chunk(type: string, data: Uint8Array): Buffer {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const [length, crc] = [Buffer.alloc(4), Buffer.alloc(4)];
  length.writeUInt32BE(data.length);
  crc.writeUInt32BE(crc32(body));
  return Buffer.concat([length, body, crc]);
}

/** A real PNG picture of one colour, 8 by 8 px. @param grey 0…255 */
export function pngOf(grey: number): Buffer {
  const head = Buffer.from([0, 0, 0, 8, 0, 0, 0, 8, 8, 0, 0, 0, 0]);
  const rows = Buffer.concat(Array.from({ length: 8 }, () => Buffer.from([0, ...Array(8).fill(grey)])));
  const start = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  return Buffer.concat([
    start,
    chunk('IHDR', head),
    chunk('IDAT', deflateSync(rows)),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

/** The first bytes of a JPEG file, then whatever makes it that long. */
export function jpegOf(bytes: number, fill = 0): Buffer {
  const photo = Buffer.alloc(bytes, fill);
  photo.set([0xff, 0xd8, 0xff, 0xe0]);
  return photo;
}
