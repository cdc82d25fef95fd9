import type { ProbeRecord } from '../../../shared/exposure/series.ts';
import type { FindingKind } from '../../../shared/model/probes/finding.ts';

/** What one-wire thermometers hold from power-up until their first conversion, °C. @source [ONE-WIRE] */
const POWER_UP_C = 85;
/** What drivers hand on when a one-wire thermometer does not answer, °C. Common practice, no source. */
const DISCONNECTED_C = -127;
/** Two floating-point ways to the same value, such as from kelvins, differ by less, K. */
const SAME_K = 1e-6;
/** A reading this near to 85 °C, within one gap, bears it out as a measurement, K. Common practice, no source. */
const BORNE_OUT_WITHIN_K = 20;
/** What the usual chips can read, °C. @source [ONE-WIRE] */
export const CHIP_RANGE_C = { low: -55, high: 125 };

export type LeftOutKind = Extract<FindingKind, 'power-up' | 'disconnected' | 'beyond-range'>;
export type LeftOut = { readonly index: number; readonly kind: LeftOutKind };

type At = { readonly tMs: number; readonly value: number };
type Judging = { readonly quantity: string | null; readonly maxGapMs: number };

/**
 * The readings of a probe that are no measurement: exactly −127 °C, beyond −55…125 °C, and exactly 85 °C unless
 * another reading within one gap, itself not 85 °C, lies within 20 K of it. Whether a reading is one is decided by the
 * readings within one gap of it and by nothing else: not by order of arrival, and not by what lies further off.
 * @param record readings of one probe; judged for temperatures, °C, only
 * @param judging.quantity `<position>/<quantity>` of the probe, null for none
 * @param judging.maxGapMs longest covered gap of the place, ms, > 0
 * @returns places in the record, ascending
 * @source [ONE-WIRE]
 * @example leftOutOf(probeRecord({ timesMs: [0, 60_000], values: [85, 21] }), { quantity: 'root/temperature', maxGapMs: 900_000 }) // [{ index: 0, kind: 'power-up' }]
 */
export function leftOutOf({ timesMs, values }: ProbeRecord, judging: Judging): LeftOut[] {
  if (!isTemperature(judging.quantity)) return [];
  const found: LeftOut[] = [];
  for (let index = 0; index < values.length; index++) {
    const kind = kindAlone(values[index] as number);
    if (kind === null) continue;
    const borneOut =
      kind === 'power-up' && isBorneOut({ timesMs, values }, { index, maxGapMs: judging.maxGapMs });
    if (!borneOut) found.push({ index, kind });
  }
  return found;
}

/**
 * A probe's record without the readings that are no measurement.
 * @param record readings of one probe
 * @param judging as for `leftOutOf`
 * @returns the same record when there are none
 * @example withoutLeftOut(record, { quantity: 'air/humidity', maxGapMs: 900_000 }) === record // true
 */
export function withoutLeftOut(record: ProbeRecord, judging: Judging): ProbeRecord {
  const out = leftOutOf(record, judging);
  if (out.length === 0) return record;
  const indexes = new Set(out.map(({ index }) => index));
  const kept = (_: number, index: number) => !indexes.has(index);
  return { timesMs: record.timesMs.filter(kept), values: record.values.filter(kept) };
}

/**
 * Whether a reading is no measurement, as far as can be told when it comes: by the same rule, from the readings that
 * are known by then. A later reading may yet bear out an 85 °C; it is then judged itself, and exposures count both.
 * So no alarm may rest on a reading of which this is not null, and none is missed for longer than until the next.
 * @param reading the reading that came; its probe's quantity; °C
 * @param recent what is known of the probe, in any order, itself included or not; at least the readings of the last gap
 * @param options.maxGapMs longest covered gap of the place, ms, > 0
 * @returns what it is, or null for a measurement
 * @source [ONE-WIRE]
 * @example isSuspect({ quantity: 'air/temperature', tMs: 60_000, value: 85 }, [{ tMs: 0, value: 21 }], { maxGapMs: 900_000 }) // 'power-up'
 */
export function isSuspect(
  reading: At & { readonly quantity: string | null },
  recent: readonly At[],
  { maxGapMs }: { readonly maxGapMs: number },
): LeftOutKind | null {
  const kind = isTemperature(reading.quantity) ? kindAlone(reading.value) : null;
  if (kind !== 'power-up') return kind;
  const near = recent.some(
    ({ tMs, value }) => Math.abs(tMs - reading.tMs) <= maxGapMs && bearsOut(value) && tMs !== reading.tMs,
  );
  return near ? null : kind;
}

/** True where a summary's extremes show that some reading may have to be left out. @param extremes °C */
export function mayHoldLeftOut({ min, max }: { readonly min: number; readonly max: number }): boolean {
  return min < CHIP_RANGE_C.low || max >= POWER_UP_C - SAME_K;
}

/** True for `<position>/temperature`. */
export function isTemperature(quantity: string | null): boolean {
  return quantity?.endsWith('/temperature') ?? false;
}

/** True for a temperature that no neighbour could bear out, or that only one could: 85 °C. */
export function isNoMeasurementAlone(valueC: number): boolean {
  return kindAlone(valueC) !== null;
}

function kindAlone(value: number): LeftOutKind | null {
  if (Math.abs(value - POWER_UP_C) < SAME_K) return 'power-up';
  if (Math.abs(value - DISCONNECTED_C) < SAME_K) return 'disconnected';
  return value < CHIP_RANGE_C.low || value > CHIP_RANGE_C.high ? 'beyond-range' : null;
}

function bearsOut(value: number): boolean {
  return kindAlone(value) === null && Math.abs(value - POWER_UP_C) <= BORNE_OUT_WITHIN_K;
}

function isBorneOut({ timesMs, values }: ProbeRecord, at: { index: number; maxGapMs: number }): boolean {
  const { index, maxGapMs } = at;
  const tMs = timesMs[index] as number;
  const within = (i: number) =>
    i >= 0 && i < values.length && Math.abs((timesMs[i] as number) - tMs) <= maxGapMs;
  for (let i = index - 1; within(i); i--) if (bearsOut(values[i] as number)) return true;
  for (let i = index + 1; within(i); i++) if (bearsOut(values[i] as number)) return true;
  return false;
}
