import { requireWithin } from './domain.ts';

/**
 * Heat that water takes up as it evaporates.
 * @param temperatureC of the water, 0…100 °C
 * @returns MJ/kg
 * @throws RangeError outside that range
 * @source [FAO56] annex 3 eq. 3-1
 * @example latentHeatMjKg(20) // 2.454
 */
export function latentHeatMjKg(temperatureC: number): number {
  requireWithin(temperatureC, { quantity: 'water temperature', unit: '°C', low: 0, high: 100 });
  return 2.501 - 2.361e-3 * temperatureC;
}
