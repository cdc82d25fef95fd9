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
 * Photons between 400 and 700 nm in one joule of light between 400 and 700 nm, by light source, µmol/J.
 * @source [TH83] table 3
 */
export const UMOL_PER_PAR_J: Readonly<Record<Lamp, number>> = {
  daylight: 4.57,
  'cool-white fluorescent': 4.59,
  'metal halide': 4.59,
  'high-pressure sodium': 4.98,
};

/**
 * Photons between 400 and 700 nm in one joule of the whole solar spectrum, as a pyranometer outdoors sees it, µmol/J:
 * 0.45 of the energy × 4.57. Published from 1.9 to 2.3; under glass or a lamp it does not hold.
 * @source [AKITSU22] the part, [TH83] table 3 the factor
 */
export const UMOL_PER_SOLAR_J = 2.06;

/** Part that a green leaf takes up of light of 400–700 nm, and of the whole solar spectrum; recalled. @source [CN98] */
const TAKEN_UP = { par: 0.85, solar: 0.5 } as const;

/**
 * Heat that a leaf lying flat takes up from light, the exchange of heat radiation with its surroundings left out.
 *
 * From daylight the near infrared counts too; of lamps, whose share of it differs from one to the next, only light of
 * 400–700 nm does, so that there it is a lower bound.
 * @param light photosynthetic photon flux density 0…4000 µmol m⁻² s⁻¹, and its source
 * @returns W per m² of leaf
 * @throws RangeError outside that range
 * @source [TH83] table 3 and [AKITSU22] for photons in a joule, [CN98] for what a leaf takes up
 * @example radiationTakenUpWM2({ ppfdUmolM2S: 600, source: 'daylight' }) // 145.6
 */
export function radiationTakenUpWM2(light: { readonly ppfdUmolM2S: number; readonly source: Lamp }): number {
  const { ppfdUmolM2S, source } = light;
  requireWithin(ppfdUmolM2S, PPFD_LIMITS);
  if (source === 'daylight') return (ppfdUmolM2S / UMOL_PER_SOLAR_J) * TAKEN_UP.solar;
  return (ppfdUmolM2S / UMOL_PER_PAR_J[source]) * TAKEN_UP.par;
}
