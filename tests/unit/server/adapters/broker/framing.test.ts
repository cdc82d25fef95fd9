import fc from 'fast-check';
import { expect, test } from 'vitest';
import { createFraming, type FramingResult } from '../../../../../server/adapters/broker/framing.ts';
import { createValve } from '../../../../../server/adapters/broker/valve.ts';
import { packetOf } from '../../../../support/raw-mqtt.ts';

const ALLOWED = { bytes: 70_000, packets: 100, connect: false };

function takeAll(pieces: readonly Buffer[]): { bytes: Buffer; fault: FramingResult['fault'] } {
  const framing = createFraming();
  const whole: Buffer[] = [];
  for (let rest of pieces) {
    while (rest.length > 0) {
      const taken = framing.take(rest, ALLOWED);
      if (taken.fault !== null) return { bytes: Buffer.concat(whole), fault: taken.fault };
      if (taken.whole) whole.push(taken.whole);
      rest = rest.subarray(taken.used);
    }
  }
  return { bytes: Buffer.concat(whole), fault: null };
}

function cut(bytes: Buffer, sizes: readonly number[]): Buffer[] {
  const pieces: Buffer[] = [];
  for (let at = 0, n = 0; at < bytes.length; n++) {
    const size = sizes[n % sizes.length] ?? 1;
    pieces.push(bytes.subarray(at, at + size));
    at += size;
  }
  return pieces;
}

test('packets of any size cut anywhere come out whole and in order, 500 times', () => {
  const packets = fc.array(fc.integer({ min: 0, max: 20_000 }), { minLength: 1, maxLength: 12 });
  const sizes = fc.array(fc.integer({ min: 1, max: 9_000 }), { minLength: 1, maxLength: 9 });
  fc.assert(
    fc.property(packets, sizes, (lengths, cuts) => {
      const all = Buffer.concat(lengths.map((bytes, n) => packetOf(0x30, Buffer.alloc(bytes, n))));
      const { bytes, fault } = takeAll(cut(all, cuts));
      expect(fault).toBeNull();
      expect(bytes.equals(all)).toBe(true);
    }),
    { numRuns: 500 },
  );
});

test.each([
  ['70,001 bytes', [0x30, 0xf1, 0xa2, 0x04], 'packet-too-large'],
  ['268,435,455 bytes', [0x30, 0xff, 0xff, 0xff, 0x7f], 'packet-too-large'],
  ['a length of five bytes', [0x30, 0x80, 0x80, 0x80, 0x80, 0x01], 'bad-packet'],
])('a packet of %s is refused by its first bytes, in one piece or byte by byte', (_what, head, fault) => {
  expect(takeAll([Buffer.from(head)]).fault).toBe(fault);
  expect(takeAll(cut(Buffer.from(head), [1])).fault).toBe(fault);
});

test('above 8 MiB that wait nothing is read, and again below half of it', () => {
  const valve = createValve({ mqttWaitingBytes: 8_388_608, mqttWaitingMessages: 5_000 });
  const answered = Array.from({ length: 129 }, () => valve.took(65_536));
  let opened = 0;
  expect(valve.isShut()).toBe(true);
  valve.wait(() => {
    opened += 1;
  });
  for (const answer of answered.slice(0, 64)) answer();
  expect([opened, valve.isShut()]).toEqual([0, true]);
  answered[64]?.();
  expect([opened, valve.isShut()]).toEqual([1, false]);
});
