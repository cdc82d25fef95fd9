import type { Reading } from '../../../shared/model/probes/probe.ts';
import {
  CHECKSUM_BYTES,
  checkAllRead,
  closed,
  opened,
  readByte,
  readWhole,
  type Sink,
  type Source,
  viewOf,
  writeWhole,
} from './bytes.ts';
import { BlockDamaged } from './damaged.ts';
import { gridOf, gridSteps, gridValue, STEPS_PER_UNIT } from './grid.ts';
import { columnRoom, readColumn, writeColumn } from './steps.ts';

/** Raised whenever older bytes would be read otherwise; older versions stay readable. */
const GROUP_VERSION = 1;

const SINGLE_CODE = 14;
const DOUBLE_CODE = 15;
const MOST_PROBE_ID = 2 ** 31 - 1;
const UPPER = 2 ** 32;

/**
 * Packs the readings of one commit, of any probes, in their order; README.md holds the format.
 * @param readings 1 or more: probe ids 0 to 2³¹ − 1, times whole ms since epoch, any finite values
 * @returns the group, checksum included
 * @throws RangeError when the readings are not such
 * @example encodeGroup([{ probeId: 3, tMs: 0, value: 21.06 }]).length // 12
 */
export function encodeGroup(readings: readonly Reading[]): Uint8Array {
  checkReadings(readings);
  const count = readings.length;
  const room = 9 + 4 * columnRoom(count) + 8 * count + CHECKSUM_BYTES;
  const sink: Sink = { bytes: new Uint8Array(room), at: 0 };
  sink.bytes[sink.at++] = GROUP_VERSION;
  writeWhole(sink, count);
  const codes = columnOf(readings, ({ value }) => codeOf(value));
  writeColumn(
    sink,
    columnOf(readings, ({ probeId }) => probeId),
  );
  writeColumn(
    sink,
    columnOf(readings, ({ tMs }) => Math.floor(tMs / UPPER)),
  );
  writeColumn(
    sink,
    columnOf(readings, ({ tMs }) => tMs),
  );
  writeColumn(sink, codes);
  for (let i = 0; i < count; i++) writeValue(sink, (readings[i] as Reading).value, codes[i] as number);
  return closed(sink);
}

function checkReadings(readings: readonly Reading[]): void {
  if (readings.length === 0) throw new RangeError('0 readings; expected 1 or more');
  for (const { probeId, tMs, value } of readings) {
    const isProbe = Number.isInteger(probeId) && probeId >= 0 && probeId <= MOST_PROBE_ID;
    if (!isProbe || !Number.isSafeInteger(tMs) || !Number.isFinite(value)) {
      throw new RangeError(
        `probe ${probeId}, time ${tMs}, value ${value}; expected an id of 31 bits, whole ms, a finite value`,
      );
    }
  }
}

/** The low 32 bits of one number a reading. */
function columnOf(readings: readonly Reading[], numberOf: (reading: Reading) => number): Int32Array {
  const column = new Int32Array(readings.length);
  for (let i = 0; i < column.length; i++) column[i] = numberOf(readings[i] as Reading);
  return column;
}

function codeOf(value: number): number {
  return gridOf([value]) ?? (Math.fround(value) === value ? SINGLE_CODE : DOUBLE_CODE);
}

function writeValue(sink: Sink, value: number, code: number): void {
  const perUnit = STEPS_PER_UNIT[code];
  if (perUnit !== undefined) writeWhole(sink, gridSteps(value, perUnit));
  else if (code === SINGLE_CODE) {
    viewOf(sink.bytes).setFloat32(sink.at, value, true);
    sink.at += 4;
  } else {
    viewOf(sink.bytes).setFloat64(sink.at, value, true);
    sink.at += 8;
  }
}

/**
 * The readings that were packed, bit for bit and in their order.
 * @param group as returned by encodeGroup
 * @returns the readings; times in ms since epoch
 * @throws BlockDamaged when the group is cut off, altered, or of a version or code not known here
 * @example decodeGroup(encodeGroup(readings)) // readings
 */
export function decodeGroup(group: Uint8Array): Reading[] {
  const source = opened(group, { atLeast: 2 });
  const version = readByte(source);
  if (version !== GROUP_VERSION)
    throw new BlockDamaged(`format version ${version}; expected ${GROUP_VERSION}`);
  const count = readWhole(source);
  // Each value takes a byte or more: no damage can make us ask for more room than the group could fill.
  if (count === 0 || count > group.length)
    throw new BlockDamaged(`${count} readings in ${group.length} bytes`);
  const [probeIds, upper, lower, codes] = [0, 1, 2, 3].map(() => {
    const column = new Int32Array(count);
    readColumn(source, column);
    return column;
  }) as [Int32Array, Int32Array, Int32Array, Int32Array];
  const readings: Reading[] = [];
  for (let i = 0; i < count; i++) {
    const tMs = (upper[i] as number) * UPPER + ((lower[i] as number) >>> 0);
    readings.push({ probeId: probeIds[i] as number, tMs, value: readValue(source, codes[i] as number) });
  }
  checkAllRead(source);
  return readings;
}

function readValue(source: Source, code: number): number {
  const perUnit = STEPS_PER_UNIT[code];
  if (perUnit !== undefined) return gridValue(readWhole(source), perUnit);
  if (code !== SINGLE_CODE && code !== DOUBLE_CODE) throw new BlockDamaged(`code ${code} is not known`);
  const at = source.at;
  source.at += code === SINGLE_CODE ? 4 : 8;
  if (source.at > source.end) throw new BlockDamaged('the bytes end too early');
  const view = viewOf(source.bytes);
  return code === SINGLE_CODE ? view.getFloat32(at, true) : view.getFloat64(at, true);
}
