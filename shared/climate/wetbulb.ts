import { type Air, humidityRatioKgKg, vapourPressureKpa } from './humidity.ts';
import {
  lnSaturationOverIce,
  lnSaturationOverWater,
  lnSlopeOverIce,
  lnSlopeOverWater,
} from './saturation.ts';

const ZERO_C_IN_K = 273.15;
const VAPOUR_TO_DRY_AIR = 0.621945;
const DRY_AIR_HEAT = 1.006;
const VAPOUR_HEAT = 1.86;
/** Newton squares its error: once a step is below this, what is left is under 1e-5 K. */
const SETTLED_K = 0.01;
/** Two or three are used on a bench; more only near boiling. */
const MOST_STEPS = 40;

/** Latent heat and its change per °C, and heat of the water or ice supplied: kJ/kg, kJ/(kg K). */
type Bulb = {
  readonly ice: boolean;
  readonly latent: number;
  readonly perC: number;
  readonly supply: number;
};
const WATER: Bulb = { ice: false, latent: 2501, perC: -2.326, supply: 4.186 };
const ICE: Bulb = { ice: true, latent: 2830, perC: -0.24, supply: 2.1 };

type State = {
  readonly airC: number;
  readonly ratio: number;
  readonly pressureKpa: number;
  readonly guessC: number;
};

/**
 * The temperature to which air cools by evaporating water into itself: what a wetted, ventilated bulb reads.
 *
 * The bulb is iced where a water bulb would be below 0 °C. Around that point both balances have an answer, less
 * than 1 K apart, and the water one is given. Humidity below freezing is against water, so an iced bulb in
 * nearly saturated freezing air reads slightly above the air. Solves its equations to 1e-5 K (tests/truth).
 * @param air temperature −150…150 °C; relative humidity 0…100 %RH; pressure 20…120 kPa, above the vapour pressure
 * @returns °C
 * @throws RangeError outside those ranges
 * @source [ASHRAE17] ch. 1 eqs 33 (water) and 35 (ice), solved for the wet-bulb temperature
 * @example wetBulbC({ airTemperatureC: 24, relativeHumidityPct: 90, pressureKpa: 101.325 }) // 22.75
 */
export function wetBulbC(air: Air & { readonly pressureKpa: number }): number {
  const { airTemperatureC: airC, pressureKpa } = air;
  const ratio = humidityRatioKgKg({ vapourPressureKpa: vapourPressureKpa(air), pressureKpa });
  const state = { airC, ratio, pressureKpa, guessC: firstGuessC(air) };
  const wet = airC >= 0 ? solveC(WATER, state) : -1;
  return wet >= 0 ? Math.min(wet, airC) : solveC(ICE, state);
}

/** Within 2 K in humid air at sea level; it only saves steps. */
function firstGuessC({ airTemperatureC, relativeHumidityPct }: Air): number {
  return airTemperatureC - (1 - relativeHumidityPct / 100) * Math.max(0, 5 + 0.4 * airTemperatureC);
}

/**
 * Newton on the heat balance multiplied by the dry-air pressure, so that it has no pole at boiling. It rises
 * and bends upwards, so after one step every guess is on the warm side and walks down to the answer.
 */
function solveC(bulb: Bulb, { airC, ratio, pressureKpa, guessC }: State): number {
  const gained = DRY_AIR_HEAT + bulb.supply * ratio;
  let wetC = guessC;
  for (let step = 0; step < MOST_STEPS; step += 1) {
    const T = wetC + ZERO_C_IN_K;
    const satKpa = Math.exp(bulb.ice ? lnSaturationOverIce(T) : lnSaturationOverWater(T)) / 1000;
    const slope = satKpa * (bulb.ice ? lnSlopeOverIce(T) : lnSlopeOverWater(T));
    const latent = bulb.latent + bulb.perC * wetC;
    const given =
      DRY_AIR_HEAT * (airC - wetC) + ratio * (bulb.latent + VAPOUR_HEAT * airC - bulb.supply * wetC);
    const dryKpa = pressureKpa - satKpa;
    const balance = VAPOUR_TO_DRY_AIR * satKpa * latent - dryKpa * given;
    const rise = VAPOUR_TO_DRY_AIR * (slope * latent + satKpa * bulb.perC) + slope * given + dryKpa * gained;
    const change = balance / rise;
    wetC -= change;
    if (Math.abs(change) < SETTLED_K) break;
  }
  return wetC;
}
