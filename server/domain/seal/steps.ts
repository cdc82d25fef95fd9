import { readByte, readSigned, readWhole, type Sink, type Source, writeSigned, writeWhole } from './bytes.ts';
import { BlockDamaged } from './damaged.ts';

/** Steps that share one width: few enough that one outlier costs little, enough that the width costs little. */
export const RUN_STEPS = 64;

/** A run reads up to 4 bytes past its end, which are always there: the checksum. */
const NARROW_BITS = 25;

/**
 * Room that a column needs at most.
 * @param count numbers in the column
 * @returns bytes
 */
export function columnRoom(count: number): number {
  return 15 + 4 * count + Math.ceil(count / RUN_STEPS) * 2;
}

/**
 * Writes whole numbers as steps from one to the next, each in as few bits as its run of 64 needs. A step is written as
 * base + grain × k: the base is the middle step, the grain what all steps away from the base are multiples of. So
 * readings at an even cadence cost no bits for their times, and a chip that counts in steps costs only those.
 * Sums and products wrap at 32 bits.
 * @param sink where to write, at most columnRoom bytes
 * @param column 1 or more numbers
 */
export function writeColumn(sink: Sink, column: Int32Array): void {
  writeSigned(sink, column[0] as number);
  if (column.length === 1) return;
  const steps = new Int32Array(column.length - 1);
  for (let i = 0; i < steps.length; i++) steps[i] = (column[i + 1] as number) - (column[i] as number);
  const base = steps.toSorted()[steps.length >>> 1] as number;
  for (let i = 0; i < steps.length; i++) steps[i] = (steps[i] as number) - base;
  const grain = grainOf(steps);
  writeSigned(sink, base);
  writeWhole(sink, grain);
  for (let i = 0; i < steps.length; i++) {
    const k = (steps[i] as number) / grain;
    steps[i] = (k << 1) ^ (k >> 31);
  }
  for (let from = 0; from < steps.length; from += RUN_STEPS) {
    writeRun(sink, steps.subarray(from, from + RUN_STEPS));
  }
}

/** The greatest number that divides all, 1 where all are 0. */
function grainOf(steps: Int32Array): number {
  let grain = 0;
  for (let i = 0; i < steps.length && grain !== 1; i++) {
    let rest = Math.abs(steps[i] as number);
    while (rest !== 0) [grain, rest] = [rest, grain % rest];
  }
  return grain === 0 ? 1 : grain;
}

function writeRun(sink: Sink, folded: Int32Array): void {
  const { bytes } = sink;
  let used = 0;
  for (let i = 0; i < folded.length; i++) used |= folded[i] as number;
  const width = 32 - Math.clz32(used);
  bytes[sink.at++] = width;
  const low = Math.min(width, 16);
  let pending = 0;
  let bits = 0;
  const put = (value: number, valueBits: number): void => {
    pending |= value << bits;
    bits += valueBits;
    for (; bits >= 8; bits -= 8) {
      bytes[sink.at++] = pending;
      pending >>>= 8;
    }
  };
  for (let i = 0; i < folded.length; i++) {
    const value = folded[i] as number;
    put(width > 16 ? value & 0xffff : value, low);
    if (width > 16) put(value >>> 16, width - 16);
  }
  if (bits > 0) bytes[sink.at++] = pending;
}

/**
 * Reads what writeColumn wrote.
 * @param source where to read; 4 bytes stand after its end
 * @param column filled from its first to its last number
 * @throws BlockDamaged when the bytes do not hold that many numbers
 */
export function readColumn(source: Source, column: Int32Array): void {
  let last = readSigned(source);
  column[0] = last;
  if (column.length === 1) return;
  const base = readSigned(source);
  const grain = readWhole(source) | 0;
  for (let from = 1; from < column.length; from += RUN_STEPS) {
    const to = Math.min(from + RUN_STEPS, column.length);
    const width = readByte(source);
    const start = source.at;
    source.at += (width * (to - from) + 7) >>> 3;
    if (width > 32) throw new BlockDamaged(`a run of ${width} bits; expected 32 or fewer`);
    if (source.at > source.end) throw new BlockDamaged(`a run of ${width} bits goes past the end`);
    if (width === 0) {
      for (let i = from; i < to; i++) {
        last = (last + base) | 0;
        column[i] = last;
      }
    } else {
      const run = { column, from, to, start, width, base, grain, last };
      last = width <= NARROW_BITS ? readNarrow(source.bytes, run) : readWide(source.bytes, run);
    }
  }
}

type Run = {
  readonly column: Int32Array;
  readonly from: number;
  readonly to: number;
  readonly start: number;
  readonly width: number;
  readonly base: number;
  readonly grain: number;
  readonly last: number;
};

function readNarrow(bytes: Uint8Array, { column, from, to, start, width, base, grain, last }: Run): number {
  const mask = (1 << width) - 1;
  let value = last;
  let bit = start * 8;
  for (let i = from; i < to; i++) {
    const at = bit >>> 3;
    const word =
      (bytes[at] as number) |
      ((bytes[at + 1] as number) << 8) |
      ((bytes[at + 2] as number) << 16) |
      ((bytes[at + 3] as number) << 24);
    const folded = (word >>> (bit & 7)) & mask;
    value = (value + base + Math.imul((folded >>> 1) ^ -(folded & 1), grain)) | 0;
    column[i] = value;
    bit += width;
  }
  return value;
}

function readWide(bytes: Uint8Array, { column, from, to, start, width, base, grain, last }: Run): number {
  const unused = 32 - width;
  let value = last;
  let bit = start * 8;
  for (let i = from; i < to; i++) {
    const at = bit >>> 3;
    const word =
      (bytes[at] as number) |
      ((bytes[at + 1] as number) << 8) |
      ((bytes[at + 2] as number) << 16) |
      ((bytes[at + 3] as number) << 24);
    // In two shifts: one of 32 would be none.
    const above = ((bytes[at + 4] as number) << 1) << (31 - (bit & 7));
    const folded = (((word >>> (bit & 7)) | above) << unused) >>> unused;
    value = (value + base + Math.imul((folded >>> 1) ^ -(folded & 1), grain)) | 0;
    column[i] = value;
    bit += width;
  }
  return value;
}
