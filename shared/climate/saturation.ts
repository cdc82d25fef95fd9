import { requireWithin, TEMPERATURE_LIMITS } from './domain.ts';

/**
 * Natural logarithm of the saturation vapour pressure over water, in pascals; the form the solvers iterate on.
 * @param temperatureK thermodynamic temperature, K, above 0; not checked
 * @returns ln(pressure / Pa)
 * @source [HW83] as printed in [ASHRAE17] ch. 1 eq. 6
 * @example lnSaturationOverWater(298.15) // 8.06124
 */
export function lnSaturationOverWater(temperatureK: number): number {
  const T = temperatureK;
  return (
    -5800.2206 / T +
    1.3914993 +
    T * (-4.8640239e-2 + T * (4.1764768e-5 - T * 1.4452093e-8)) +
    6.5459673 * Math.log(T)
  );
}

/**
 * How fast the logarithm of the saturation vapour pressure over water rises with temperature.
 * @param temperatureK thermodynamic temperature, K, above 0; not checked
 * @returns d ln(pressure) / dT, K⁻¹
 * @source [ASHRAE17] ch. 1 eq. 6, differentiated
 * @example lnSlopeOverWater(298.15) // 0.0596
 */
export function lnSlopeOverWater(temperatureK: number): number {
  const T = temperatureK;
  return (5800.2206 / T + 6.5459673) / T - 4.8640239e-2 + T * (8.3529536e-5 - T * 4.3356279e-8);
}

/**
 * How fast that slope changes with temperature.
 * @param temperatureK thermodynamic temperature, K, above 0; not checked
 * @returns d² ln(pressure) / dT², K⁻²
 * @source [ASHRAE17] ch. 1 eq. 6, differentiated twice
 * @example lnCurvatureOverWater(298.15) // -0.000454
 */
export function lnCurvatureOverWater(temperatureK: number): number {
  const T = temperatureK;
  return 8.3529536e-5 - T * 8.6712558e-8 - (11600.4412 / T + 6.5459673) / (T * T);
}

/**
 * Natural logarithm of the saturation vapour pressure over ice, in pascals; the form the solvers iterate on.
 * @param temperatureK thermodynamic temperature, K, above 0; not checked
 * @returns ln(pressure / Pa)
 * @source [HW83] as printed in [ASHRAE17] ch. 1 eq. 5
 * @example lnSaturationOverIce(268.15) // 5.99587
 */
export function lnSaturationOverIce(temperatureK: number): number {
  const T = temperatureK;
  return (
    -5674.5359 / T +
    6.3925247 +
    T * (-9.677843e-3 + T * (6.2215701e-7 + T * (2.0747825e-9 - T * 9.484024e-13))) +
    4.1635019 * Math.log(T)
  );
}

/**
 * How fast the logarithm of the saturation vapour pressure over ice rises with temperature.
 * @param temperatureK thermodynamic temperature, K, above 0; not checked
 * @returns d ln(pressure) / dT, K⁻¹
 * @source [ASHRAE17] ch. 1 eq. 5, differentiated
 * @example lnSlopeOverIce(268.15) // 0.0855
 */
export function lnSlopeOverIce(temperatureK: number): number {
  const T = temperatureK;
  return (
    (5674.5359 / T + 4.1635019) / T -
    9.677843e-3 +
    T * (1.24431402e-6 + T * (6.2243475e-9 - T * 3.7936096e-12))
  );
}

/**
 * The vapour pressure at which air is saturated beside a flat surface of pure water.
 *
 * The pure-phase value: the enhancement factor of moist air is taken as 1 throughout this folder. Air at one
 * atmosphere really holds about 0.4 % more ([WMO8] annex 4.B, f = 1.0047); it cancels in relative humidity.
 * Published for 0…200 °C and within 0.03 % of IAPWS-95 from 5 to 35 °C (tests/truth). Below freezing the water
 * equation is carried on, because humidity sensors are read against supercooled water ([WMO8]).
 * @param temperatureC −150…150 °C
 * @returns kPa
 * @throws RangeError outside that range
 * @source [HW83] as printed in [ASHRAE17] ch. 1 eq. 6
 * @example saturationPressureOverWaterKpa(25) // 3.1692
 */
export function saturationPressureOverWaterKpa(temperatureC: number): number {
  requireWithin(temperatureC, TEMPERATURE_LIMITS);
  return Math.exp(lnSaturationOverWater(temperatureC + 273.15)) / 1000;
}
