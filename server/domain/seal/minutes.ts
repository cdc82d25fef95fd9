import type { ProbeRecord } from '../../../shared/exposure/series.ts';
import { blockHeader, decodeBlock, encodeBlock } from './block.ts';
import { BlockDamaged } from './damaged.ts';

/** The first byte of a block that holds minutes; one that holds readings begins with its version, 1. */
const MINUTES_MARK = 129;

const MS_PER_MINUTE = 60_000;

/** A mean is written as a share of the way from the minute's lowest to its highest value. */
const MEAN_STEPS = 255;

/**
 * What is left of readings, minute by minute, ascending; a minute without a reading has no entry. A minute with one
 * reading holds that reading, time and all; one with more stands in the middle of theirs.
 */
export type Minutes = {
  readonly timesMs: Float64Array;
  /** weighted by time between the readings of the minute */
  readonly means: Float64Array;
  /** true extremes */
  readonly mins: Float64Array;
  readonly maxs: Float64Array;
};

/**
 * Rolls readings up to one entry a minute that has any.
 * @param record readings of one probe, ascending; times ms since epoch
 * @returns times, means and extremes in the unit of the record
 * @example rollUp({ timesMs: Float64Array.of(0, 10_000), values: Float64Array.of(20, 22) }).means // 21
 */
export function rollUp({ timesMs, values }: ProbeRecord): Minutes {
  const starts: number[] = [];
  let minute = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < timesMs.length; i++) {
    const at = Math.floor((timesMs[i] as number) / MS_PER_MINUTE);
    if (at !== minute) starts.push(i);
    minute = at;
  }
  const minutes = room(starts.length);
  starts.forEach((start, k) => {
    const end = starts[k + 1] ?? timesMs.length;
    minutes.timesMs[k] = Math.floor(((timesMs[start] as number) + (timesMs[end - 1] as number)) / 2);
    const { mean, min, max } = shapeOf(values, { timesMs, start, end });
    minutes.means[k] = mean;
    minutes.mins[k] = min;
    minutes.maxs[k] = max;
  });
  return minutes;
}

type Part = { readonly timesMs: Float64Array; readonly start: number; readonly end: number };

function shapeOf(values: Float64Array, { timesMs, start, end }: Part) {
  let min = values[start] as number;
  let max = min;
  let area = 0;
  for (let i = start + 1; i < end; i++) {
    const value = values[i] as number;
    area += (((values[i - 1] as number) + value) / 2) * ((timesMs[i] as number) - (timesMs[i - 1] as number));
    if (value < min) min = value;
    if (value > max) max = value;
  }
  const spanMs = (timesMs[end - 1] as number) - (timesMs[start] as number);
  const mean = spanMs > 0 ? meanOf(area / spanMs, { min, max }) : min;
  return { mean: quantised({ mean, min, max }), min, max };
}

/** Values at the ends of what a number can be have no sum: then the middle between the extremes stands for the mean. */
function meanOf(mean: number, { min, max }: { min: number; max: number }): number {
  return Number.isFinite(mean) ? mean : min / 2 + max / 2;
}

/** The mean as it is kept: minutes made of readings and minutes read back must not differ. */
function quantised({ mean, min, max }: { mean: number; min: number; max: number }): number {
  return meanAt(stepsOf({ mean, min, max }), { min, max });
}

function stepsOf({ mean, min, max }: { mean: number; min: number; max: number }): number {
  if (min === max) return 0;
  const range = max - min;
  const share = Number.isFinite(range) ? (mean - min) / range : (mean / 2 - min / 2) / (max / 2 - min / 2);
  return Math.min(MEAN_STEPS, Math.max(0, Math.round(share * MEAN_STEPS)));
}

function meanAt(steps: number, { min, max }: { min: number; max: number }): number {
  if (steps === 0) return min;
  if (steps === MEAN_STEPS) return max;
  const up = (max - min) * steps;
  const share = steps / MEAN_STEPS;
  return Number.isFinite(up) ? min + up / MEAN_STEPS : min * (1 - share) + max * share;
}

function room(count: number): Minutes {
  const column = () => new Float64Array(count);
  return { timesMs: column(), means: column(), mins: column(), maxs: column() };
}

/**
 * Packs minutes: a mark, then three blocks of readings, of times and lowest values, of highest values, and of the
 * means as steps of 1/255 from lowest to highest.
 * @param minutes one or more, of one hour
 * @returns the bytes; times and extremes come back bit for bit, means as rollUp made them
 * @throws RangeError as encodeBlock
 */
export function encodeMinutes({ timesMs, means, mins, maxs }: Minutes): Uint8Array {
  const count = timesMs.length;
  const places = Float64Array.from({ length: count }, (_, i) => i);
  const steps = Float64Array.from({ length: count }, (_, i) =>
    stepsOf({ mean: means[i] as number, min: mins[i] as number, max: maxs[i] as number }),
  );
  const blocks = [
    encodeBlock({ timesMs, values: mins }),
    encodeBlock({ timesMs: places, values: maxs }),
    encodeBlock({ timesMs: places, values: steps }),
  ];
  const bytes = new Uint8Array(1 + blocks.reduce((sum, block) => sum + block.length, 0));
  bytes[0] = MINUTES_MARK;
  let at = 1;
  for (const block of blocks) {
    bytes.set(block, at);
    at += block.length;
  }
  return bytes;
}

/** True for bytes that hold minutes, false for a block of readings. */
export function holdsMinutes(bytes: Uint8Array): boolean {
  return bytes[0] === MINUTES_MARK;
}

/**
 * The minutes that were packed.
 * @param bytes as returned by encodeMinutes
 * @returns minutes, as rollUp made them
 * @throws BlockDamaged when the bytes are cut off or altered
 */
export function decodeMinutes(bytes: Uint8Array): Minutes {
  const [low, high, share] = partsOf(bytes).map((part) => decodeBlock(part));
  if (!low || !high || !share) throw new BlockDamaged('minutes without their three parts');
  const { timesMs, values: mins } = low;
  const maxs = high.values;
  if (maxs.length !== mins.length || share.values.length !== mins.length)
    throw new BlockDamaged('minutes of unlike count');
  const means = share.values.map((steps, i) =>
    meanAt(steps, { min: mins[i] as number, max: maxs[i] as number }),
  );
  return { timesMs, means, mins, maxs };
}

/**
 * Checks bytes stored for an hour, readings or minutes, without decoding them.
 * @param bytes as returned by encodeBlock or encodeMinutes
 * @throws BlockDamaged when they are cut off, altered, or of a version or code not known here
 */
export function checkHour(bytes: Uint8Array): void {
  if (holdsMinutes(bytes)) for (const part of partsOf(bytes)) blockHeader(part);
  else blockHeader(bytes);
}

/** Where the length of a block stands in it. */
const LENGTH_AT = 2;

function partsOf(bytes: Uint8Array): Uint8Array[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const parts: Uint8Array[] = [];
  for (let at = 1; at < bytes.length; ) {
    if (at + LENGTH_AT + 4 > bytes.length || parts.length === 3)
      throw new BlockDamaged('the minutes are cut off, or too many');
    const length = view.getUint32(at + LENGTH_AT, true);
    if (length === 0) throw new BlockDamaged('a part of no bytes');
    parts.push(bytes.subarray(at, at + length));
    at += length;
  }
  return parts;
}
