import { deflateSync } from 'node:zlib';
import type { Picture } from '../../domain/mail/strip-picture.ts';
import { crc32 } from '../../domain/seal/crc32.ts';

const SIGNATURE = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
const PALETTE_COLOURS = 3;
const BITS = 8;

/**
 * A picture as a PNG file with a palette, one byte a pixel, no filter.
 * @source [PNG] chunks IHDR, PLTE, IDAT and IEND
 */
export function pngOf({ widthPx, heightPx, pixels, palette }: Picture): Buffer {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(widthPx, 0);
  header.writeUInt32BE(heightPx, 4);
  header.set([BITS, PALETTE_COLOURS, 0, 0, 0], 8);
  const rows = Buffer.alloc((widthPx + 1) * heightPx);
  for (let y = 0; y < heightPx; y++)
    rows.set(pixels.subarray(y * widthPx, (y + 1) * widthPx), y * (widthPx + 1) + 1);
  return Buffer.concat([
    Buffer.from(SIGNATURE),
    chunk('IHDR', header),
    chunk('PLTE', Buffer.from(palette.flat())),
    chunk('IDAT', deflateSync(rows)),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

function chunk(type: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const whole = Buffer.alloc(body.length + 8);
  whole.writeUInt32BE(data.length, 0);
  whole.set(body, 4);
  whole.writeUInt32BE(crc32(body, body.length), body.length + 4);
  return whole;
}
