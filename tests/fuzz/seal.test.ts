import { crc32 } from 'node:zlib';
import { expect, test } from 'vitest';
import { blockHeader, decodeBlock, encodeBlock } from '../../server/domain/seal/block.ts';
import { BlockDamaged } from '../../server/domain/seal/damaged.ts';
import { decodeGroup, encodeGroup } from '../../server/domain/seal/group.ts';
import type { ProbeRecord } from '../../shared/exposure/series.ts';

const MUTANTS = 20_000;
const SEED = 20_260_304;
const START_MS = 1_772_611_200_000;

/** Small deterministic generator, "mulberry32" (public domain, from memory): integers below `bound`. */
function integersFrom(seed: number): (bound: number) => number {
  let state = seed;
  return (bound) => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return Math.floor((((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32) * bound);
  };
}

type Integers = ReturnType<typeof integersFrom>;

function hourOf(count: number, valueAt: (i: number, below: Integers) => number): ProbeRecord {
  const below = integersFrom(SEED);
  return {
    timesMs: Float64Array.from(
      { length: count },
      (_, i) => START_MS + i * 10_000 + (count < 100 ? below(99) : 0),
    ),
    values: Float64Array.from({ length: count }, (_, i) => valueAt(i, below)),
  };
}

const BLOCKS: readonly Uint8Array[] = [
  hourOf(360, (i, below) => (2200 + Math.floor(i / 30) + below(9)) / 100),
  hourOf(90, (_, below) => (370 + below(3)) / 16),
  hourOf(70, (_, below) => below(2 ** 30) / 7),
  hourOf(1, () => -0),
].map(encodeBlock);

const GROUPS: readonly Uint8Array[] = [1, 20].map((count) =>
  encodeGroup(
    Array.from({ length: count }, (_, i) => ({
      probeId: i,
      tMs: START_MS + i,
      value: i % 3 ? i / 16 : i / 7,
    })),
  ),
);

const STORED = [
  ...BLOCKS.map((bytes) => ({ bytes, decode: (damaged: Uint8Array): unknown => decodeBlock(damaged) })),
  ...GROUPS.map((bytes) => ({ bytes, decode: (damaged: Uint8Array): unknown => decodeGroup(damaged) })),
];

/** What decoding ends in: `damaged`, or `read`; anything else thrown is thrown on. */
function outcomeOf(decode: () => unknown): 'read' | 'damaged' {
  try {
    decode();
    return 'read';
  } catch (error) {
    if (error instanceof BlockDamaged) return 'damaged';
    throw error;
  }
}

test('each single flipped bit of 4 blocks and 2 groups is found', () => {
  for (const { bytes, decode } of STORED) {
    for (let bit = 0; bit < bytes.length * 8; bit++) {
      const damaged = bytes.slice();
      damaged[bit >>> 3] = (damaged[bit >>> 3] as number) ^ (1 << (bit & 7));
      expect(outcomeOf(() => decode(damaged))).toBe('damaged');
    }
  }
});

test('4 blocks and 2 groups cut off after any number of bytes, or with 1 to 9 bytes more, are found', () => {
  for (const { bytes, decode } of STORED) {
    for (let length = 0; length < bytes.length + 10; length++) {
      if (length === bytes.length) continue;
      const other = new Uint8Array(length);
      other.set(bytes.subarray(0, length));
      expect(outcomeOf(() => decode(other))).toBe('damaged');
    }
  }
});

test.each([1, 2])(
  '%i bytes between the readings of a block or group and its checksum are refused by name',
  (more) => {
    for (const { bytes, decode } of STORED) {
      const longer = new Uint8Array(bytes.length + more);
      longer.set(bytes.subarray(0, -4));
      if (BLOCKS.includes(bytes)) new DataView(longer.buffer).setUint32(2, longer.length, true);
      expect(() => decode(withChecksum(longer))).toThrow(`${more} bytes too many`);
    }
  },
);

function withChecksum(bytes: Uint8Array): Uint8Array {
  const end = Math.max(0, bytes.length - 4);
  if (bytes.length >= 4) new DataView(bytes.buffer).setUint32(end, crc32(bytes.subarray(0, end)), true);
  return bytes;
}

/** A stretch of random bytes put in, cut out, or both; the length field of a block set right half of the time. */
function mutantOf(bytes: Uint8Array, below: Integers): Uint8Array {
  const at = below(bytes.length);
  const put = Uint8Array.from({ length: below(6) }, () => (below(3) === 0 ? 255 : below(256)));
  const mutant = Uint8Array.from([...bytes.subarray(0, at), ...put, ...bytes.subarray(at + below(6))]);
  if (mutant.length > 26 && below(2) === 0) new DataView(mutant.buffer).setUint32(2, mutant.length, true);
  return withChecksum(mutant);
}

test('20,000 forged blocks and groups with a right checksum are read or refused, and never ask for room for more than 64 readings a byte', () => {
  const below = integersFrom(SEED);
  const seen = { read: 0, damaged: 0 };
  for (let i = 0; i < MUTANTS; i++) {
    const { bytes, decode } = STORED[below(STORED.length)] as (typeof STORED)[number];
    const mutant = mutantOf(bytes, below);
    seen[outcomeOf(() => decode(mutant))]++;
    if (outcomeOf(() => blockHeader(mutant)) === 'read') {
      expect(blockHeader(mutant).count).toBeLessThanOrEqual(64 * mutant.length);
    }
  }
  expect(seen.read).toBeGreaterThan(100);
  expect(seen.damaged).toBeGreaterThan(10_000);
});

const lengthPlus = (more: number): number[] => {
  const claimed = (BLOCKS[0] as Uint8Array).length + more;
  return [claimed & 255, claimed >>> 8];
};

test.each([
  ['4,294,967,295 readings', 6, [255, 255, 255, 255], /^4294967295 readings in/],
  ['0 readings', 6, [0, 0, 0, 0], /^0 readings in/],
  ['format version 2', 0, [2], 'format version 2; expected 1'],
  ['code 9', 1, [9], 'code 9 is not known'],
  ['another last time', 18, [1], /^last time is not/],
  ['1 byte more than it has', 2, lengthPlus(1), /^\d+ bytes; expected \d+$/],
  ['1 byte less than it has', 2, lengthPlus(-1), /^\d+ bytes; expected \d+$/],
  // The times of an even hour are 1 + 3 + 1 bytes and widths of 0 from byte 27 on.
  ['a run of 33 bits', 27, [33], 'a run of 33 bits; expected 32 or fewer'],
  ['a run that goes past its end', 27, [32], 'a run of 32 bits goes past the end'],
])('a block that claims %s is refused by name', (_, at, claimed, message) => {
  const forged = (BLOCKS[0] as Uint8Array).slice();
  forged.set(claimed, at);
  const decode = () => decodeBlock(withChecksum(forged));
  expect(decode).toThrow(BlockDamaged);
  expect(decode).toThrow(message);
});
