import { MS_PER_HOUR } from '../../../shared/exposure/series.ts';
import { closed, opened, readWhole, type Sink, type Source, viewOf, writeWhole } from '../seal/bytes.ts';
import { BlockDamaged } from '../seal/damaged.ts';
import type { HourSums } from './hour-sums.ts';

/** Raised whenever older bytes would be read otherwise; older versions stay readable. */
const DAY_VERSION = 1;

const DAY_MS = 24 * MS_PER_HOUR;
const MINUTE_MS = 60_000;
/** Whole numbers below this take 3 bytes. */
const SMALL = 2 ** 24;

/** The sums of a part of a day: a whole hour, or where local midnight cuts an hour, what lies before or after it. */
export type SettledPart = {
  /** ms since epoch, on whole minutes of one day (UTC) */
  readonly fromMs: number;
  readonly toMs: number;
  /** version of the formulas that made it */
  readonly formula: number;
  /** the edit of the place's targets it was judged by, counted from 1 */
  readonly targetsEdit: number;
  readonly sums: HourSums;
};

/** The day (UTC) a time falls in, days since 1970. */
export function dayOf(tMs: number): number {
  return Math.floor(tMs / DAY_MS);
}

/**
 * Packs the parts of a day: most sums are 0 or a whole hour and take 2 bits, whole numbers of ms 3 bytes, the rest
 * their 8. Decoding returns them bit for bit. Layout: version; parts (whole); for each its first minute in the day,
 * minutes, formula, edit of targets and count of sums (wholes), the kinds of the sums (2 bits each, lowest first:
 * 0, one hour, a whole number of 3 bytes, a double), then those of 3 and 8 bytes; a checksum.
 * @param parts of one day, at least one, not overlapping, ascending
 * @returns the bytes, checksum included
 * @throws RangeError when a part lies on no whole minutes
 */
export function encodeDay(parts: readonly SettledPart[]): Uint8Array {
  const room = parts.reduce((bytes, { sums }) => bytes + 40 + sums.length * 9, 16);
  const sink: Sink = { bytes: new Uint8Array(room), at: 0 };
  sink.bytes[sink.at++] = DAY_VERSION;
  writeWhole(sink, parts.length);
  for (const part of parts) writePart(sink, part);
  return closed(sink);
}

function writePart(sink: Sink, { fromMs, toMs, formula, targetsEdit, sums }: SettledPart): void {
  const firstMin = (fromMs - dayOf(fromMs) * DAY_MS) / MINUTE_MS;
  const minutes = (toMs - fromMs) / MINUTE_MS;
  if (!Number.isInteger(firstMin) || !Number.isInteger(minutes)) {
    throw new RangeError(`a part from ${fromMs} to ${toMs} ms; expected whole minutes`);
  }
  for (const whole of [firstMin, minutes, formula, targetsEdit, sums.length]) writeWhole(sink, whole);
  const { bytes } = sink;
  const view = viewOf(bytes);
  const kindsAt = sink.at;
  sink.at += (sums.length + 3) >> 2;
  for (let i = 0; i < sums.length; i++) {
    const value = sums[i] as number;
    const kind = kindOf(value);
    bytes[kindsAt + (i >> 2)] = (bytes[kindsAt + (i >> 2)] as number) | (kind << ((i & 3) * 2));
    if (kind === 2) {
      view.setUint16(sink.at, value & 0xffff, true);
      bytes[sink.at + 2] = value >>> 16;
      sink.at += 3;
    } else if (kind === 3) {
      view.setFloat64(sink.at, value, true);
      sink.at += 8;
    }
  }
}

function kindOf(value: number): number {
  if (Object.is(value, 0)) return 0;
  if (value === MS_PER_HOUR) return 1;
  return value > 0 && value < SMALL && Number.isInteger(value) ? 2 : 3;
}

/**
 * The parts that were packed, bit for bit.
 * @param bytes as returned by encodeDay
 * @param day days since 1970, UTC
 * @returns ascending
 * @throws BlockDamaged when the bytes are cut off, altered, or of a version not known here
 */
export function decodeDay(bytes: Uint8Array, day: number): SettledPart[] {
  const source = opened(bytes, { atLeast: 2 });
  const version = bytes[source.at++];
  if (version !== DAY_VERSION) throw new BlockDamaged(`format version ${version}; expected ${DAY_VERSION}`);
  const count = readWhole(source);
  const view = viewOf(bytes);
  const parts: SettledPart[] = [];
  let room = new Float64Array();
  for (let i = 0; i < count; i++) {
    const fromMs = day * DAY_MS + readWhole(source) * MINUTE_MS;
    const toMs = fromMs + readWhole(source) * MINUTE_MS;
    const formula = readWhole(source);
    const targetsEdit = readWhole(source);
    const length = readWhole(source);
    if (length * (count - i) > (source.end - source.at) * 4)
      throw new BlockDamaged(`${length} sums; fewer bytes are left`);
    // one piece of memory for all parts of a day: asking for one each took as long as filling them
    if (room.length < length) room = new Float64Array(length * (count - i));
    const sums = room.subarray(0, length);
    room = room.subarray(length);
    readSums(source, view, sums);
    parts.push({ fromMs, toMs, formula, targetsEdit, sums });
  }
  if (source.at !== source.end) throw new BlockDamaged(`${source.end - source.at} bytes too many or too few`);
  return parts;
}

function readSums(source: Source, view: DataView, sums: Float64Array): void {
  const { bytes } = source;
  const kindsAt = source.at;
  let at = kindsAt + ((sums.length + 3) >> 2);
  for (let first = 0; first < sums.length; first += 4) {
    let kinds = bytes[kindsAt + (first >> 2)] as number;
    for (let i = first; kinds !== 0; i++, kinds >>= 2) {
      const kind = kinds & 3;
      if (kind === 1) sums[i] = MS_PER_HOUR;
      else if (kind === 2) {
        sums[i] =
          (bytes[at] as number) | ((bytes[at + 1] as number) << 8) | ((bytes[at + 2] as number) << 16);
        at += 3;
      } else if (kind === 3) {
        if (at + 8 > source.end) throw new BlockDamaged('the bytes end too early');
        sums[i] = view.getFloat64(at, true);
        at += 8;
      }
    }
  }
  source.at = at;
}
