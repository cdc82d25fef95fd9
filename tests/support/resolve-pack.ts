import { SENML_VERSION } from '../../firmware-contracts/v1/limits.ts';
import type { SenmlRecord } from '../../firmware-contracts/v1/readings.ts';
import { resolveInOrder } from '../../server/domain/ingest/resolve.ts';

/**
 * A pack in SenML's resolved form: no base fields, absolute times to the ms, oldest first.
 * @param arrivedAtMs ms since epoch
 * @returns SenML records; resolving them again changes nothing
 * @source [RFC8428] section 4.6
 */
export function resolvePack(arrival: Parameters<typeof resolveInOrder>[0]): SenmlRecord[] {
  return resolveInOrder(arrival)
    .sort((a, b) => a.tMs - b.tMs)
    .map(({ record: { vs, vb, vd, ut }, name, unit, value, sum, tMs, version }) => ({
      ...(version === SENML_VERSION ? {} : { bver: version }),
      n: name,
      ...(unit === null ? {} : { u: unit }),
      ...(value === null ? {} : { v: value }),
      ...(vs === undefined ? {} : { vs }),
      ...(vb === undefined ? {} : { vb }),
      ...(vd === undefined ? {} : { vd }),
      ...(sum === null ? {} : { s: sum }),
      t: tMs / 1000,
      ...(ut === undefined ? {} : { ut }),
    }));
}
