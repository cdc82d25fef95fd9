import { requireWithin, TEMPERATURE_LIMITS } from './domain.ts';
import { type Air, dewPointC } from './humidity.ts';

/**
 * How much warmer a surface is than the dew point of the air at it; below 0 water condenses on the surface.
 * @param state surface and air temperature −150…150 °C; relative humidity above 0, up to 100 %RH
 * @returns K
 * @throws RangeError outside those ranges, and at 0 %RH, where there is no dew point
 * @source [ASHRAE17] ch. 1, dew point by definition
 * @example condensationMarginK({ surfaceTemperatureC: 20, airTemperatureC: 24, relativeHumidityPct: 90 }) // -2.258
 */
export function condensationMarginK(state: Air & { readonly surfaceTemperatureC: number }): number {
  requireWithin(state.surfaceTemperatureC, TEMPERATURE_LIMITS);
  return state.surfaceTemperatureC - dewPointC(state);
}
