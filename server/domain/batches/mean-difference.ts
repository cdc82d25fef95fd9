import type { MeanDifference } from '../../../shared/wire/cuttings/batches.ts';
import type { Exposures } from '../../../shared/wire/http.ts';

/** What is compared of one batch: its exposures, and what a temperature sensor of its places may be off by, K. */
export type Compared = {
  readonly exposures: Pick<Exposures, 'air' | 'rootZone'>;
  readonly sensorErrorK: number;
};

/**
 * By how much two batches differ in the mean temperatures they had. What two sensors may be off by adds as independent
 * errors do; a difference no larger than that is not told apart.
 * @returns of air and root zone, K; null where one of the two was not read
 * @example meanDifferences(first, second)[0]?.toldApart // false for 21.3 and 21.0 °C by sensors good to 0.3 K
 */
export function meanDifferences(first: Compared, second: Compared): MeanDifference[] {
  const sensorErrorK = Math.hypot(first.sensorErrorK, second.sensorErrorK);
  const between = (quantity: MeanDifference['quantity'], one: number | null, two: number | null) => {
    const difference = one === null || two === null ? null : one - two;
    const toldApart = difference !== null && Math.abs(difference) > sensorErrorK;
    return { quantity, difference, sensorErrorK, toldApart };
  };
  return [
    between('airTemperatureC', first.exposures.air.meanC, second.exposures.air.meanC),
    between('rootZoneTemperatureC', first.exposures.rootZone.meanC, second.exposures.rootZone.meanC),
  ];
}
