import { RELATIVE_TIME_BELOW_S, SENML_VERSION } from '../../../firmware-contracts/v1/limits.ts';
import { REGULAR_LABELS, type SenmlRecord } from '../../../firmware-contracts/v1/readings.ts';

/** A record with the base fields in force applied and its time made absolute. */
export type Resolved = {
  readonly index: number;
  readonly record: SenmlRecord;
  readonly name: string;
  readonly unit: string | null;
  /** bv + v; null when the record has no v */
  readonly value: number | null;
  /** bs + s; null when neither is given */
  readonly sum: number | null;
  readonly tMs: number;
  /** true when the time was counted from arrival */
  readonly relative: boolean;
  readonly version: number;
};

type ArrivedRecords = { readonly records: readonly SenmlRecord[]; readonly arrivedAtMs: number };

/**
 * Applies base names, times, units, values and sums to the records that measure, in the
 * order of the pack; records of base fields alone only set them, as in RFC 8428 section 5.1.7.
 * @param arrivedAtMs ms since epoch, what "now" means in relative times
 * @returns one entry per measuring record, times in ms since epoch
 * @source [RFC8428] sections 4.1, 4.5 and 4.6
 */
export function resolveInOrder({ records, arrivedAtMs }: ArrivedRecords): Resolved[] {
  const resolved: Resolved[] = [];
  let [baseName, baseTimeS, baseValue, version] = ['', 0, 0, SENML_VERSION];
  let baseUnit: string | null = null;
  let baseSum: number | null = null;
  for (const [index, record] of records.entries()) {
    baseName = record.bn ?? baseName;
    baseTimeS = record.bt ?? baseTimeS;
    baseUnit = record.bu ?? baseUnit;
    baseValue = record.bv ?? baseValue;
    baseSum = record.bs ?? baseSum;
    version = record.bver ?? version;
    if (record.v === undefined && REGULAR_LABELS.every((label) => record[label] === undefined)) continue;
    const timeS = baseTimeS + (record.t ?? 0);
    const relative = timeS < RELATIVE_TIME_BELOW_S;
    resolved.push({
      index,
      record,
      name: baseName + (record.n ?? ''),
      unit: record.u ?? baseUnit,
      value: record.v === undefined ? null : baseValue + record.v,
      sum: record.s === undefined ? baseSum : (baseSum ?? 0) + record.s,
      tMs: Math.round(timeS * 1000 + (relative ? arrivedAtMs : 0)),
      relative,
      version,
    });
  }
  return resolved;
}
