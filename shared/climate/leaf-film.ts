import { type Limits, PRESSURE_LIMITS, requireWithin } from './domain.ts';
import { type Air, vapourPressureKpa } from './humidity.ts';
import { latentHeatMjKg } from './latent.ts';
import { saturationPressureOverWaterKpa } from './saturation.ts';

/** A film that freezes or a leaf that cooks is outside what is described here. */
export const FILM_AIR_LIMITS = {
  quantity: 'air temperature at a wet leaf',
  unit: '°C',
  low: 0,
  high: 60,
} as const;
const AIR_SPEED_LIMITS = { quantity: 'air speed', unit: 'm/s', low: 0, high: 10 } as const;
const LEAF_WIDTH_LIMITS = { quantity: 'leaf width', unit: 'm', low: 0.002, high: 0.5 } as const;
const FILM_LIMITS = { quantity: 'water film', unit: 'µm', low: 1, high: 300 } as const;
export const NET_RADIATION_LIMITS = {
  quantity: 'net radiation',
  unit: 'W/m²',
  low: -200,
  high: 1200,
} as const;

/** Water that one side of a leaf holds before it drips, µm (the same number in g/m²); published 100…300. @source [PALM] */
export const MOST_FILM_UM = 200;

/** What is assumed of a leaf nobody has measured; film by [DICKINSON93], the rest common practice, no source. */
export const USUAL_LEAF = { leafWidthM: 0.05, airSpeedMS: 0.1, filmUm: 100, wetSides: 1 } as const;

/** Length along the air stream that matters, as a part of the leaf's width. @source [CN98] */
const DIMENSION_OF_WIDTH = 0.72;
/** Heat against vapour through the same boundary layer. @source [CN98] eqs 7.29 and 7.30; table 7.6 */
const HEAT_TO_VAPOUR = { forced: 0.135 / 0.147, free: 0.05 / 0.055 } as const;
/** Heat capacity of air, J mol⁻¹ K⁻¹; recalled. @source [CN98] */
const AIR_HEAT = 29.3;
/** Emissivity of a leaf, recalled. @source [CN98] */
const EMISSIVITY = 0.97;
/** Stefan–Boltzmann, W m⁻² K⁻⁴. @source [SI] */
const RADIATION = 5.670374e-8;
const WATER_KG_MOL = 0.018015;
/** A still room is never quite still: no boundary layer counts as thicker than beside a leaf 1 K off the air. */
const LEAST_DIFFERENCE_K = 1;
/** Slower than this a 100 µm film needs more than a year: no humidity sensor can tell it from never. */
const LEAST_MOL_M2S = 1e-7;
const HALVINGS = 48;

/** A wet leaf in air. Net radiation: what a leaf as warm as the air would gain, W per m² of leaf; null holds it there. */
export type WetLeaf = Air & {
  readonly pressureKpa: number;
  readonly leafWidthM: number;
  readonly airSpeedMS: number;
  readonly filmUm: number;
  readonly wetSides: 1 | 2;
  readonly netRadiationWM2: number | null;
};

/** Time to dry and all that was assumed on the way. */
type FilmDrying = {
  /** null: it never dries. */
  readonly dryingMin: number | null;
  readonly assumed: Omit<WetLeaf, keyof Air> & {
    readonly leafTemperatureC: number;
    readonly vapourConductanceMolM2S: number;
    readonly convection: 'forced' | 'free';
  };
};

/**
 * How easily vapour leaves one side of a leaf in moving air, laminar forced convection.
 * @param leaf air speed 0…10 m/s; leaf width 0.002…0.5 m
 * @returns mol m⁻² s⁻¹
 * @throws RangeError outside those ranges
 * @source [CN98] eq. 7.30, without the factor 1.4 for gusts outdoors
 * @example forcedVapourConductanceMolM2S({ airSpeedMS: 0.1, leafWidthM: 0.05 }) // 0.2450
 */
export function forcedVapourConductanceMolM2S(leaf: {
  readonly airSpeedMS: number;
  readonly leafWidthM: number;
}): number {
  requireWithin(leaf.airSpeedMS, AIR_SPEED_LIMITS);
  requireWithin(leaf.leafWidthM, LEAF_WIDTH_LIMITS);
  return 0.147 * Math.sqrt(leaf.airSpeedMS / (DIMENSION_OF_WIDTH * leaf.leafWidthM));
}

/**
 * How easily vapour leaves one side of a leaf in still air, carried by the warmth of the leaf alone.
 * @param leaf leaf warmer than the air by 0…150 K; leaf width 0.002…0.5 m
 * @returns mol m⁻² s⁻¹
 * @throws RangeError outside those ranges
 * @source [CN98] table 7.6
 * @example freeVapourConductanceMolM2S({ leafMinusAirK: 1, leafWidthM: 0.05 }) // 0.1263
 */
export function freeVapourConductanceMolM2S(leaf: {
  readonly leafMinusAirK: number;
  readonly leafWidthM: number;
}): number {
  requireWithin(leaf.leafMinusAirK, { quantity: 'leaf above air', unit: 'K', low: 0, high: 150 });
  requireWithin(leaf.leafWidthM, LEAF_WIDTH_LIMITS);
  return 0.055 * (leaf.leafMinusAirK / (DIMENSION_OF_WIDTH * leaf.leafWidthM)) ** 0.25;
}

/**
 * Time for the water film on a leaf to dry off at the present air: an estimated upper bound for the mist interval.
 *
 * Three readings of one leaf: net radiation null holds it at the air temperature, the shortest time in the dark;
 * 0 lets evaporation cool it, in 90 %RH almost twice as long; a number adds that gain, in sun minutes. Conductances
 * are those of 20 °C and sea level, the larger of forced and free. No better than the film and air speed assumed.
 * @param leaf air 0…60 °C, 0…100 %RH; pressure 20…120 kPa; leaf width 0.002…0.5 m; air speed 0…10 m/s; film
 * 1…300 µm on each wet side; net radiation −200…1200 W/m² or null
 * @returns minutes, or null where the film never dries, and what was assumed
 * @throws RangeError outside those ranges
 * @source [CN98] ch. 6 and 7: evaporation g(es − ea)/p and the heat balance of a leaf, both sides giving off heat
 * @example leafFilmDrying({ ...USUAL_LEAF, airTemperatureC: 24, relativeHumidityPct: 90, pressureKpa: 101.325, netRadiationWM2: null }).dryingMin // 128
 */
export function leafFilmDrying(leaf: WetLeaf): FilmDrying {
  requireWetLeaf(leaf);
  const leafTemperatureC =
    leaf.netRadiationWM2 === null ? leaf.airTemperatureC : balancedLeafC(leaf, leaf.netRadiationWM2);
  const { vapour, convection } = boundaryLayer(leaf, leafTemperatureC);
  const molM2S = evaporationMolM2S(leaf, { leafC: leafTemperatureC, conductance: vapour });
  const seconds = leaf.filmUm / 1000 / (WATER_KG_MOL * molM2S);
  const { pressureKpa, leafWidthM, airSpeedMS, filmUm, wetSides, netRadiationWM2 } = leaf;
  const given = { pressureKpa, leafWidthM, airSpeedMS, filmUm, wetSides, netRadiationWM2 };
  return {
    dryingMin: molM2S < LEAST_MOL_M2S ? null : seconds / 60,
    assumed: { ...given, leafTemperatureC, vapourConductanceMolM2S: vapour, convection },
  };
}

function requireWetLeaf(leaf: WetLeaf): void {
  const within: readonly (readonly [number, Limits])[] = [
    [leaf.airTemperatureC, FILM_AIR_LIMITS],
    [leaf.pressureKpa, PRESSURE_LIMITS],
    [leaf.leafWidthM, LEAF_WIDTH_LIMITS],
    [leaf.airSpeedMS, AIR_SPEED_LIMITS],
    [leaf.filmUm, FILM_LIMITS],
    [leaf.netRadiationWM2 ?? 0, NET_RADIATION_LIMITS],
  ];
  for (const [value, limits] of within) requireWithin(value, limits);
}

function boundaryLayer(leaf: WetLeaf, leafC: number) {
  const { leafWidthM } = leaf;
  const forced = forcedVapourConductanceMolM2S(leaf);
  const leafMinusAirK = Math.max(LEAST_DIFFERENCE_K, leafC - leaf.airTemperatureC);
  const free = freeVapourConductanceMolM2S({ leafMinusAirK, leafWidthM });
  return {
    vapour: Math.max(forced, free),
    heat: Math.max(forced * HEAT_TO_VAPOUR.forced, free * HEAT_TO_VAPOUR.free),
    convection: forced >= free ? 'forced' : 'free',
  } as const;
}

/**
 * How easily one side of a leaf gives its heat to the air, by the stronger of forced and free convection.
 * @param leaf air speed 0…10 m/s; leaf width 0.002…0.5 m; leaf less air, counted as 1 K at least
 * @returns W m⁻² K⁻¹
 * @throws RangeError outside those ranges
 * @source [CN98] eq. 7.29, table 7.6
 * @example heatConductanceWM2K({ airSpeedMS: 0.1, leafWidthM: 0.05, leafMinusAirK: 1 }) // 6.59
 */
export function heatConductanceWM2K(leaf: {
  readonly airSpeedMS: number;
  readonly leafWidthM: number;
  readonly leafMinusAirK: number;
}): number {
  const leafMinusAirK = Math.max(LEAST_DIFFERENCE_K, leaf.leafMinusAirK);
  const forced = forcedVapourConductanceMolM2S(leaf) * HEAT_TO_VAPOUR.forced;
  const free = freeVapourConductanceMolM2S({ ...leaf, leafMinusAirK }) * HEAT_TO_VAPOUR.free;
  return Math.max(forced, free) * AIR_HEAT;
}

/**
 * Heat that one side of a leaf radiates for each K it is warmer than surroundings as warm as the air.
 * @param airTemperatureC −150…150 °C
 * @returns W m⁻² K⁻¹
 * @source [CN98] ch. 6; emissivity recalled
 * @example radiationConductanceWM2K(24) // 5.77
 */
export function radiationConductanceWM2K(airTemperatureC: number): number {
  return 4 * EMISSIVITY * RADIATION * (airTemperatureC + 273.15) ** 3;
}

function evaporationMolM2S(leaf: WetLeaf, at: { leafC: number; conductance: number }): number {
  const deficitKpa = saturationPressureOverWaterKpa(at.leafC) - vapourPressureKpa(leaf);
  return (at.conductance * deficitKpa) / leaf.pressureKpa;
}

/** The balance rises with the leaf's temperature, so that halving finds its one zero. */
function balancedLeafC(leaf: WetLeaf, netRadiationWM2: number): number {
  const airC = leaf.airTemperatureC;
  const latentJMol = latentHeatMjKg(airC) * 1e6 * WATER_KG_MOL;
  const radiatedWM2K = radiationConductanceWM2K(airC);
  const lossWM2 = (leafC: number): number => {
    const { vapour, heat } = boundaryLayer(leaf, leafC);
    const latent = leaf.wetSides * latentJMol * evaporationMolM2S(leaf, { leafC, conductance: vapour });
    return latent + 2 * (heat * AIR_HEAT + radiatedWM2K) * (leafC - airC);
  };
  let [low, high] = [airC - 60, Math.min(150, airC + 120)];
  for (let halving = 0; halving < HALVINGS; halving += 1) {
    const middle = (low + high) / 2;
    if (lossWM2(middle) < netRadiationWM2) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
