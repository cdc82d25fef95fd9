import type { Lamp } from '../model/lamp.ts';
import { PPFD_LIMITS, requireWithin, TEMPERATURE_LIMITS } from './domain.ts';
import type { Air } from './humidity.ts';
import {
  FILM_AIR_LIMITS,
  heatConductanceWM2K,
  leafFilmDrying,
  NET_RADIATION_LIMITS,
  radiationConductanceWM2K,
  USUAL_LEAF,
} from './leaf-film.ts';
import { radiationTakenUpWM2 } from './light.ts';

/** What published factors from light to energy leave open, as parts of the one used: 1.9 to 2.3 for 2.06 µmol/J. @source [AKITSU22] */
const FACTOR_RANGE = { low: 2.06 / 2.3, high: 2.06 / 1.9 } as const;
const MOST_STEPS = 60;
const CLOSE_ENOUGH_K = 1e-9;

/** A leaf in light: µmol m⁻² s⁻¹ by a source, air that moves over it at so many m/s, its width along that stream, m. */
export type LeafInLight = {
  readonly airTemperatureC: number;
  readonly ppfdUmolM2S: number;
  readonly lightSource: Lamp;
  readonly airSpeedMS: number;
  readonly leafWidthM: number;
};

/**
 * How much warmer than the air a leaf in light is that loses no water, as a cutting without roots nearly does: an estimate.
 *
 * What it takes up from light it gives off by warming the air on both sides, by whichever of forced and free
 * convection is the stronger, and by heat radiation to surroundings as warm as the air.
 * @param leaf air −150…150 °C; light 0 µmol m⁻² s⁻¹ or more, above 4000 taken as 4000; air speed 0…10 m/s; leaf width 0.002…0.5 m
 * @returns K, 0 in the dark
 * @throws RangeError outside those ranges
 * @source [CN98] ch. 6 and 7, [TH83] and [AKITSU22] as for `radiationTakenUpWM2`
 * @example leafAboveAirK({ airTemperatureC: 24, ppfdUmolM2S: 600, lightSource: 'daylight', airSpeedMS: 0.1, leafWidthM: 0.05 }) // 5.89
 */
export function leafAboveAirK(leaf: LeafInLight): number {
  return dryAboveAirK(leaf, takenUpWM2(leaf));
}

/**
 * What an estimate of the leaf's temperature leaves open: from a leaf just misted on one side, which cools as it
 * dries, to a dry one in still air, each with the published factor from light to energy that makes it less, or more.
 * @param leaf as for `leafAboveAirK`, with humidity 0…100 %RH and pressure 20…120 kPa; outside 0…60 °C of air nothing
 *   is said of water on a leaf, and the low end is the dry leaf in air that moves
 * @returns K above the air, low ≤ high; negative where water cools the leaf below the air; 0 and 0 in the dark
 * @throws RangeError outside those ranges
 * @source [CN98] ch. 6 and 7; a poinsettia shoot tip was 3.3 K above the air in 500 W/m² of sun at 0.44 m/s [SHOOTTIP04]
 * @example leafAboveAirRangeK({ airTemperatureC: 24, relativeHumidityPct: 95, pressureKpa: 101.325, ppfdUmolM2S: 600, lightSource: 'daylight', airSpeedMS: 0.1, leafWidthM: 0.05 }).high // 7.02
 */
export function leafAboveAirRangeK(leaf: LeafInLight & Air & { readonly pressureKpa: number }): {
  readonly low: number;
  readonly high: number;
} {
  const absorbedWM2 = takenUpWM2(leaf);
  if (absorbedWM2 === 0) return { low: 0, high: 0 };
  const [least, most] = [absorbedWM2 * FACTOR_RANGE.low, absorbedWM2 * FACTOR_RANGE.high];
  return {
    low: Math.min(wetAboveAirK(leaf, least), dryAboveAirK(leaf, least)),
    high: Math.max(dryAboveAirK({ ...leaf, airSpeedMS: 0 }, most), dryAboveAirK(leaf, most)),
  };
}

function takenUpWM2({ ppfdUmolM2S, lightSource }: LeafInLight): number {
  requireWithin(Math.min(ppfdUmolM2S, PPFD_LIMITS.high), PPFD_LIMITS);
  return radiationTakenUpWM2({
    ppfdUmolM2S: Math.min(ppfdUmolM2S, PPFD_LIMITS.high),
    source: lightSource,
  });
}

/** Free convection grows with the quarter power of the difference, so that putting it in again soon changes nothing. */
function dryAboveAirK({ airTemperatureC, airSpeedMS, leafWidthM }: LeafInLight, absorbedWM2: number): number {
  requireWithin(airTemperatureC, TEMPERATURE_LIMITS);
  const radiated = radiationConductanceWM2K(airTemperatureC);
  let aboveK = 0;
  for (let step = 0; step < MOST_STEPS; step += 1) {
    const heat = heatConductanceWM2K({ airSpeedMS, leafWidthM, leafMinusAirK: aboveK });
    const next = absorbedWM2 / (2 * (heat + radiated));
    const isClose = Math.abs(next - aboveK) < CLOSE_ENOUGH_K;
    aboveK = next;
    if (isClose) break;
  }
  return aboveK;
}

function wetAboveAirK(
  leaf: LeafInLight & Air & { readonly pressureKpa: number },
  absorbedWM2: number,
): number {
  const { airTemperatureC, relativeHumidityPct, pressureKpa, airSpeedMS, leafWidthM } = leaf;
  if (airTemperatureC < FILM_AIR_LIMITS.low || airTemperatureC > FILM_AIR_LIMITS.high)
    return Number.POSITIVE_INFINITY;
  const { assumed } = leafFilmDrying({
    airTemperatureC,
    relativeHumidityPct,
    pressureKpa,
    airSpeedMS,
    leafWidthM,
    filmUm: USUAL_LEAF.filmUm,
    wetSides: USUAL_LEAF.wetSides,
    netRadiationWM2: Math.min(absorbedWM2, NET_RADIATION_LIMITS.high),
  });
  return assumed.leafTemperatureC - airTemperatureC;
}
