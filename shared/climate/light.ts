import type { Lamp } from '../model/lamp.ts';
import { ILLUMINANCE_LIMITS, PPFD_LIMITS, requireWithin } from './domain.ts';

const IRRADIANCE_LIMITS = { quantity: 'irradiance', unit: 'W/m²', low: 0, high: 2000 } as const;

/** Above what a joule holds even at 700 nm, 5.85 µmol. */
const MOST_UMOL_PER_J = 6;

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

/**
 * Photons for photosynthesis that an irradiance stands for: an estimate, as good as the factor.
 * @param light irradiance 0…2000 W/m²; factor above 0, up to 6 µmol/J, of the same part of the spectrum
 * @returns photosynthetic photon flux density, µmol m⁻² s⁻¹
 * @throws RangeError outside those ranges
 * @source [TH83] table 3 for light of 400–700 nm; [AKITSU22] for the whole solar spectrum
 * @example ppfdFromIrradiance({ irradianceWM2: 100, umolPerJ: 4.57 }) // 457
 */
export function ppfdFromIrradiance(light: {
  readonly irradianceWM2: number;
  readonly umolPerJ: number;
}): number {
  requireWithin(light.irradianceWM2, IRRADIANCE_LIMITS);
  if (!(light.umolPerJ > 0 && light.umolPerJ <= MOST_UMOL_PER_J))
    throw new RangeError(
      `photon factor must be above 0, up to ${MOST_UMOL_PER_J} µmol/J, was ${light.umolPerJ}`,
    );
  return light.irradianceWM2 * light.umolPerJ;
}

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
