import { HUMIDITY_LIMITS, PRESSURE_LIMITS, requireWithin, TEMPERATURE_LIMITS } from './domain.ts';
import {
  lnCurvatureOverWater,
  lnSaturationOverWater,
  lnSlopeOverWater,
  saturationPressureOverWaterKpa,
} from './saturation.ts';

/** Air as a probe pair reads it; humidity is against water at every temperature ([WMO8]). */
export type Air = { readonly airTemperatureC: number; readonly relativeHumidityPct: number };

const ZERO_C_IN_K = 273.15;
/** Halley's step in 1/T cubes its error: once a step is below this, what is left is under 1e-9 K. */
const SETTLED_K = 0.06;
/** One is used between -45 and 60 °C of dew point, two or three down to 0.01 %RH, more only in drier air. */
const MOST_STEPS = 20;

/**
 * The pressure of the water vapour in the air.
 * @param air temperature −150…150 °C; relative humidity 0…100 %RH
 * @returns kPa
 * @throws RangeError outside those ranges
 * @source [ASHRAE17] ch. 1 eq. 22 (definition of relative humidity, ideal gas)
 * @example vapourPressureKpa({ airTemperatureC: 25, relativeHumidityPct: 80 }) // 2.535
 */
export function vapourPressureKpa({ airTemperatureC, relativeHumidityPct }: Air): number {
  requireWithin(relativeHumidityPct, HUMIDITY_LIMITS);
  return saturationPressureOverWaterKpa(airTemperatureC) * (relativeHumidityPct / 100);
}

/**
 * How far the air is from saturation: what pulls water out of a leaf as warm as the air.
 * @param air temperature −150…150 °C; relative humidity 0…100 %RH
 * @returns kPa, never negative
 * @throws RangeError outside those ranges
 * @source [FAO56] ch. 3, vapour pressure deficit es − ea
 * @example airVpdKpa({ airTemperatureC: 24, relativeHumidityPct: 90 }) // 0.2985
 */
export function airVpdKpa({ airTemperatureC, relativeHumidityPct }: Air): number {
  requireWithin(relativeHumidityPct, HUMIDITY_LIMITS);
  return saturationPressureOverWaterKpa(airTemperatureC) * (1 - relativeHumidityPct / 100);
}

/**
 * What pulls water out of a leaf that is warmer or cooler than the air; negative means dew forms on the leaf.
 * @param state leaf and air temperature −150…150 °C; relative humidity of the air 0…100 %RH
 * @returns kPa
 * @throws RangeError outside those ranges
 * @source [FAO56] ch. 3, es − ea with es at the temperature of the leaf
 * @example leafVpdKpa({ leafTemperatureC: 26, airTemperatureC: 24, relativeHumidityPct: 90 }) // 0.6765
 */
export function leafVpdKpa(state: Air & { readonly leafTemperatureC: number }): number {
  return saturationPressureOverWaterKpa(state.leafTemperatureC) - vapourPressureKpa(state);
}

/**
 * The temperature to which the air must cool before water condenses from it; over water also below freezing.
 *
 * Agrees with its own equation to 1e-9 K. Air drier than a dew point of −100 °C gets an extrapolated answer
 * that says only "very dry", so that every humidity above 0 has one.
 * @param air temperature −150…150 °C; relative humidity above 0, up to 100 %RH
 * @returns °C, never above the air temperature
 * @throws RangeError outside those ranges, and at 0 %RH, where there is no dew point
 * @source [ASHRAE17] ch. 1 eq. 6 inverted; first guess [WMO8] annex 4.B
 * @example dewPointC({ airTemperatureC: 24, relativeHumidityPct: 90 }) // 22.258
 */
export function dewPointC(air: Air): number {
  const lnPa = lnVapourPressure(air);
  let T = magnusGuessK(lnPa);
  for (let step = 0; step < MOST_STEPS; step += 1) {
    const before = T;
    T = nearerK(T, lnSaturationOverWater(T) - lnPa, lnSlopeOverWater(T), lnCurvatureOverWater(T));
    if (Math.abs(T - before) < SETTLED_K) break;
  }
  return Math.min(T - ZERO_C_IN_K, air.airTemperatureC);
}

/**
 * Mass of water vapour carried by each kilogram of dry air.
 * @param air vapour pressure from 0 kPa to below the air pressure; pressure 20…120 kPa
 * @returns kg of vapour per kg of dry air
 * @throws RangeError outside those ranges
 * @source [ASHRAE17] ch. 1 eq. 20
 * @example humidityRatioKgKg({ vapourPressureKpa: 3.1697, pressureKpa: 95.461 }) // 0.0213604
 */
export function humidityRatioKgKg(air: {
  readonly vapourPressureKpa: number;
  readonly pressureKpa: number;
}): number {
  const { vapourPressureKpa: vapourKpa, pressureKpa } = air;
  requireWithin(pressureKpa, PRESSURE_LIMITS);
  if (!(vapourKpa >= 0 && vapourKpa < pressureKpa))
    throw new RangeError(`vapour pressure must be from 0 to below ${pressureKpa} kPa, was ${vapourKpa}`);
  return (0.621945 * vapourKpa) / (pressureKpa - vapourKpa);
}

/**
 * Mass of water vapour in each cubic metre of air.
 * @param air air temperature −150…150 °C; vapour pressure 0…500 kPa
 * @returns g/m³
 * @throws RangeError outside those ranges
 * @source [WMO8] annex 4.B: ideal gas with 2.16679 g K/J
 * @example absoluteHumidityGM3({ airTemperatureC: 25, vapourPressureKpa: 3.1692 }) // 23.0
 */
export function absoluteHumidityGM3(air: {
  readonly airTemperatureC: number;
  readonly vapourPressureKpa: number;
}): number {
  requireWithin(air.airTemperatureC, TEMPERATURE_LIMITS);
  requireWithin(air.vapourPressureKpa, { quantity: 'vapour pressure', unit: 'kPa', low: 0, high: 500 });
  return (2166.79 * air.vapourPressureKpa) / (air.airTemperatureC + ZERO_C_IN_K);
}

function lnVapourPressure({ airTemperatureC, relativeHumidityPct: humidityPct }: Air): number {
  requireWithin(airTemperatureC, TEMPERATURE_LIMITS);
  if (!(humidityPct > 0 && humidityPct <= 100))
    throw new RangeError(`relative humidity must be above 0, up to 100 %RH, was ${humidityPct}`);
  return lnSaturationOverWater(airTemperatureC + ZERO_C_IN_K) + Math.log(humidityPct) - Math.LN10 * 2;
}

function magnusGuessK(lnPa: number): number {
  const x = lnPa - 6.415424;
  return ZERO_C_IN_K + (243.12 * x) / (17.62 - x);
}

/** One step of Halley's in 1/T, in which the logarithm of a saturation pressure is very nearly straight. */
function nearerK(T: number, excess: number, lnSlope: number, lnCurvature: number): number {
  const newton = excess / (T * lnSlope);
  const bend = 1 - newton * (1 + (T * lnCurvature) / (2 * lnSlope));
  return T / (1 + newton / bend);
}
