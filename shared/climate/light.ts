import type { Lamp } from '../model/lamp.ts';
import { ILLUMINANCE_LIMITS, PPFD_LIMITS, requireWithin } from './domain.ts';

/**
 * Illuminance that goes with one µmol m⁻² s⁻¹ of photons between 400 and 700 nm, by light source, lx.
 * Printed to whole numbers (±1 %); lamps of one kind differ by 5–10 %, and LEDs are in none of these rows.
 * @source [TH83] table 3
 */
export const LX_PER_UMOL: Readonly<Record<Lamp, number>> = {
  daylight: 54,
  'cool-white fluorescent': 74,
  'metal halide': 71,
  'high-pressure sodium': 82,
};

/**
 * Photons for photosynthesis that an illuminance stands for: an estimate, as good as the factor.
 * @param light illuminance 0…200 000 lx; factor above 0, lx per µmol m⁻² s⁻¹
 * @returns photosynthetic photon flux density, µmol m⁻² s⁻¹
 * @throws RangeError outside those ranges
 * @source [TH83] table 3
 * @example ppfdFromIlluminance({ illuminanceLx: 10000, lxPerUmol: 54 }) // 185.2
 */
export function ppfdFromIlluminance(light: {
  readonly illuminanceLx: number;
  readonly lxPerUmol: number;
}): number {
  requireWithin(light.illuminanceLx, ILLUMINANCE_LIMITS);
  if (!(light.lxPerUmol > 0 && light.lxPerUmol < Number.POSITIVE_INFINITY))
    throw new RangeError(`light factor must be above 0 lx per µmol m⁻² s⁻¹, was ${light.lxPerUmol}`);
  return light.illuminanceLx / light.lxPerUmol;
}

/**
 * Photons that fall on a square metre while the light is steady.
 * @param light photon flux density 0…4000 µmol m⁻² s⁻¹; duration 0…25 h, the longest local day
 * @returns mol m⁻²
 * @throws RangeError outside those ranges
 * @source [TORRES] daily light integral by definition
 * @example steadyLightIntegralMolM2({ ppfdUmolM2S: 200, durationH: 16 }) // 11.52
 */
export function steadyLightIntegralMolM2(light: {
  readonly ppfdUmolM2S: number;
  readonly durationH: number;
}): number {
  requireWithin(light.ppfdUmolM2S, PPFD_LIMITS);
  requireWithin(light.durationH, { quantity: 'duration', unit: 'h', low: 0, high: 25 });
  return (light.ppfdUmolM2S * light.durationH * 3600) / 1e6;
}
