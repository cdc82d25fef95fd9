import type { ProbeRecord } from '../../../shared/exposure/series.ts';
import { CHECKSUM_BYTES, checkAllRead, closed, opened, type Sink, type Source, viewOf } from './bytes.ts';
import { BlockDamaged } from './damaged.ts';
import { gridOf, gridSteps, gridValue, STEPS_PER_UNIT } from './grid.ts';
import { columnRoom, RUN_STEPS, readColumn, writeColumn } from './steps.ts';

/** Raised whenever older bytes would be read otherwise; older versions stay readable. */
const BLOCK_VERSION = 1;

/** One block reaches this far: 24 days; a sealed hour needs 1/600 of it. */
const MOST_SPAN_MS = 2 ** 31 - 1;

const HEADER_BYTES = 22;
const FLOAT_CODE = 255;

/** A record being filled: the next reading goes to place `at`. */
type Room = ProbeRecord & { readonly at: number };

/** What a block says of itself before it is decoded. */
type BlockHeader = {
  readonly version: number;
  /** steps a unit of the grid on which all values lie, or null where they are kept as floats */
  readonly stepsPerUnit: number | null;
  readonly bytes: number;
  readonly count: number;
  readonly firstMs: number;
  readonly lastMs: number;
};

/**
 * Packs the readings of one probe in one hour into few bytes that return them bit for bit; README.md holds the format.
 * @param record 1 or more readings: times whole ms since epoch, ascending, at most MOST_SPAN_MS from first to last; values any finite numbers
 * @returns the block, checksum included
 * @throws RangeError when the readings are not such
 * @example encodeBlock({ timesMs: Float64Array.of(0, 10_000), values: Float64Array.of(21.06, 21.07) }).length // 37
 */
export function encodeBlock(record: ProbeRecord): Uint8Array {
  checkRecord(record);
  const { timesMs, values } = record;
  const count = timesMs.length;
  const firstMs = timesMs[0] as number;
  const room = HEADER_BYTES + 3 * columnRoom(count) + CHECKSUM_BYTES;
  const sink: Sink = { bytes: new Uint8Array(room), at: HEADER_BYTES };
  const column = new Int32Array(count);
  for (let i = 0; i < count; i++) column[i] = (timesMs[i] as number) - firstMs;
  const spanMs = column[count - 1] as number;
  writeColumn(sink, column);
  const grid = gridOf(values);
  if (grid === null) writeFloats(sink, values);
  else {
    const perUnit = STEPS_PER_UNIT[grid] as number;
    for (let i = 0; i < count; i++) column[i] = gridSteps(values[i] as number, perUnit);
    writeColumn(sink, column);
  }
  const header = viewOf(sink.bytes);
  header.setUint8(0, BLOCK_VERSION);
  header.setUint8(1, grid ?? FLOAT_CODE);
  header.setUint32(2, sink.at + CHECKSUM_BYTES, true);
  header.setUint32(6, count, true);
  header.setFloat64(10, firstMs, true);
  header.setUint32(18, spanMs, true);
  return closed(sink);
}

function checkRecord({ timesMs, values }: ProbeRecord): void {
  const count = timesMs.length;
  if (count === 0 || values.length !== count) {
    throw new RangeError(`${count} times, ${values.length} values; expected 1 or more, one value a time`);
  }
  let before = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < count; i++) {
    const timeMs = timesMs[i] as number;
    if (!Number.isSafeInteger(timeMs) || timeMs <= before || !Number.isFinite(values[i])) {
      throw new RangeError(
        `reading ${i}: time ${timeMs} after ${before}, value ${values[i]}; expected whole ms that ascend and a finite value`,
      );
    }
    before = timeMs;
  }
  const spanMs = before - (timesMs[0] as number);
  if (spanMs > MOST_SPAN_MS)
    throw new RangeError(`readings span ${spanMs} ms; expected ${MOST_SPAN_MS} or less`);
}

/** As two columns: the upper halves, with sign and size, step little; the lower are noise, or all alike. */
function writeFloats(sink: Sink, values: Float64Array): void {
  const upper = new Int32Array(values.length);
  const lower = new Int32Array(values.length);
  const bits = new DataView(new ArrayBuffer(8));
  for (let i = 0; i < values.length; i++) {
    bits.setFloat64(0, values[i] as number);
    upper[i] = bits.getInt32(0);
    lower[i] = bits.getInt32(4);
  }
  writeColumn(sink, upper);
  writeColumn(sink, lower);
}

/**
 * What a block says of itself, without decoding its readings.
 * @param block as returned by encodeBlock
 * @returns format version, code, bytes, readings, first and last time in ms since epoch
 * @throws BlockDamaged when the block is cut off, altered, or of a version or code not known here
 * @example blockHeader(block).count // 360
 */
export function blockHeader(block: Uint8Array): BlockHeader {
  return readHeader(opened(block, { atLeast: HEADER_BYTES }));
}

function readHeader(source: Source): BlockHeader {
  const view = viewOf(source.bytes);
  const version = view.getUint8(0);
  if (version !== BLOCK_VERSION)
    throw new BlockDamaged(`format version ${version}; expected ${BLOCK_VERSION}`);
  const code = view.getUint8(1);
  const stepsPerUnit = STEPS_PER_UNIT[code] ?? null;
  if (stepsPerUnit === null && code !== FLOAT_CODE) throw new BlockDamaged(`code ${code} is not known`);
  const bytes = view.getUint32(2, true);
  if (bytes !== source.bytes.length)
    throw new BlockDamaged(`${source.bytes.length} bytes; expected ${bytes}`);
  const count = view.getUint32(6, true);
  // A run of 64 is a byte or more: no damage can make us ask for more room than the block could fill.
  if (count === 0 || count > bytes * RUN_STEPS) throw new BlockDamaged(`${count} readings in ${bytes} bytes`);
  const firstMs = view.getFloat64(10, true);
  source.at = HEADER_BYTES;
  return { version, stepsPerUnit, bytes, count, firstMs, lastMs: firstMs + view.getUint32(18, true) };
}

/**
 * The readings that were packed, bit for bit.
 * @param block as returned by encodeBlock
 * @returns times in ms since epoch and values
 * @throws BlockDamaged when the block is cut off, altered, or of a version or code not known here
 * @example decodeBlock(encodeBlock(record)) // record
 */
export function decodeBlock(block: Uint8Array): ProbeRecord {
  const source = opened(block, { atLeast: HEADER_BYTES });
  const header = readHeader(source);
  const record = { timesMs: new Float64Array(header.count), values: new Float64Array(header.count) };
  readReadings(source, header, { ...record, at: 0 });
  return record;
}

/**
 * Decodes a block into a longer record, as when a season is read.
 * @param block as returned by encodeBlock
 * @param into where its readings go, from place `at` on; room for all of them
 * @returns the place after the last
 * @throws BlockDamaged as decodeBlock; what stands from `at` on is then without meaning
 * @throws RangeError when the room is too small
 */
export function decodeBlockInto(block: Uint8Array, into: Room): number {
  const source = opened(block, { atLeast: HEADER_BYTES });
  const header = readHeader(source);
  const end = into.at + header.count;
  if (end > into.timesMs.length || end > into.values.length) {
    throw new RangeError(
      `${header.count} readings from place ${into.at} do not fit into ${into.timesMs.length}`,
    );
  }
  readReadings(source, header, into);
  return end;
}

function readReadings(source: Source, header: BlockHeader, { timesMs, values, at }: Room): void {
  const { count, firstMs, lastMs, stepsPerUnit } = header;
  const column = scratch(count, 0);
  readColumn(source, column);
  for (let i = 0; i < count; i++) timesMs[at + i] = firstMs + (column[i] as number);
  if (timesMs[at + count - 1] !== lastMs) throw new BlockDamaged(`last time is not ${lastMs}`);
  readColumn(source, column);
  if (stepsPerUnit === null) {
    const lower = scratch(count, 1);
    readColumn(source, lower);
    const bits = new DataView(new ArrayBuffer(8));
    for (let i = 0; i < count; i++) {
      bits.setInt32(0, column[i] as number);
      bits.setInt32(4, lower[i] as number);
      values[at + i] = bits.getFloat64(0);
    }
  } else {
    for (let i = 0; i < count; i++) values[at + i] = gridValue(column[i] as number, stepsPerUnit);
  }
  checkAllRead(source);
}

/** An hour at one reading a second; longer columns get room of their own. */
const SCRATCH_READINGS = 3600;

// A season is thousands of blocks: asking for room for each took as long as decoding it. Nothing outlives one decoding.
const SCRATCH = [new Int32Array(SCRATCH_READINGS), new Int32Array(SCRATCH_READINGS)] as const;

function scratch(count: number, which: 0 | 1): Int32Array {
  return count > SCRATCH_READINGS ? new Int32Array(count) : SCRATCH[which].subarray(0, count);
}
