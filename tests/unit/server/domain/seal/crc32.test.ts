import { crc32 as zlibCrc32 } from 'node:zlib';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { crc32 } from '../../../../../server/domain/seal/crc32.ts';

// The check value that catalogues of CRCs give for CRC-32 of ISO 3309; recalled.
test('the checksum of the text 123456789 is cbf43926', () => {
  expect(crc32(new TextEncoder().encode('123456789'), 9)).toBe(0xcbf43926);
});

test('the checksum of any bytes, up to any end, is that of zlib', () => {
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 200 }), fc.nat(200), (bytes, wanted) => {
      const end = Math.min(wanted, bytes.length);
      expect(crc32(bytes, end)).toBe(zlibCrc32(bytes.subarray(0, end)));
    }),
  );
});
