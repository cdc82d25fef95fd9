import { saturationPressureOverWaterKpa } from '../../../shared/climate/saturation.ts';
import type { GreenhouseState } from './greenhouse.ts';
import {
  cutEndC,
  LATENT_HEAT_J_KG,
  type Medium,
  relaxed,
  steppedMedium,
  thermostat,
  VAPOUR_KG_M3_KPA,
} from './physics.ts';
import { BENCH, type DemoFrame, EVENTS, isUnderWay, localMoment } from './scenario.ts';
import type { Outside, StepFacts } from './weather.ts';

const { greenhouse: HOUSE, bench: TENT, mist: MIST, medium: MEDIUM } = BENCH;
const WATER_J_KG_K = 4186;

/** The mist bench in its skirt of polythene, inside the greenhouse. */
export type BenchState = {
  readonly airC: number;
  readonly airKpa: number;
  /** water on the leaves, kg/m² */
  readonly filmKgM2: number;
  readonly medium: Medium;
  /** the medium at the bench's cooler end */
  readonly endMedium: Medium;
  readonly isMatOn: boolean;
};

/** A bench as it might stand at night; a day of spin-up takes the guess out of it. */
export const FIRST_BENCH: BenchState = {
  airC: 16.5,
  airKpa: 1.6,
  filmKgM2: 0,
  medium: { baseC: 25, topC: 22.5 },
  endMedium: { baseC: 24, topC: 22 },
  isMatOn: false,
};

/**
 * Whether the mist valve opens at a time.
 * @param tMs ms since epoch, a multiple of the physics step
 * @param frame the demo's fixed facts
 * @returns true at the start of a pulse
 * @example opensMist(0, { seed: 1, utcOffsetMs: 0, lastDay: 13 }) // false: it is midnight
 */
export function opensMist(tMs: number, frame: DemoFrame): boolean {
  const { day, hour } = localMoment({ tMs, utcOffsetMs: frame.utcOffsetMs });
  if (hour < MIST.fromHour || hour >= MIST.toHour) return false;
  const daysStuck = day - (frame.lastDay - 13);
  const stage = MIST.stages.findLast((candidate) => daysStuck >= candidate.fromDay) ?? MIST.stages[0];
  const sinceStartS = Math.round((hour - MIST.fromHour) * 3600) - MIST.offsetS;
  return stage !== undefined && sinceStartS % (60 * stage.everyMinutes) === 0;
}

/**
 * Light at the cuttings on the bench.
 * @param outside weather; radiation W/m²
 * @returns PPFD, µmol m⁻² s⁻¹
 * @example benchPpfdUmolM2S({ temperatureC: 15, vapourKpa: 1, gust: 0, globalWM2: 0, diffuseWM2: 0, beamWM2: 0 }) // 0
 */
export function benchPpfdUmolM2S(outside: Outside): number {
  return outside.globalWM2 * HOUSE.transmission * TENT.shadeTransmission * BENCH.par.umolPerJ;
}

/** Conductances for vapour to the bench's air, m/s, and the pressures they lead to, kPa. */
function benchVapour(bench: BenchState, house: GreenhouseState, sunWM2: number) {
  const leafC = bench.airC + TENT.leafAboveAirKM2W * sunWM2;
  const wallKpa = saturationPressureOverWaterKpa((bench.airC + house.airC) / 2);
  return {
    film: {
      conductance: TENT.filmEvaporationMS * (bench.filmKgM2 / TENT.filmHoldsKgM2) ** (2 / 3),
      farEnd: saturationPressureOverWaterKpa(leafC),
    },
    medium: {
      conductance: TENT.mediumEvaporationMS,
      farEnd: saturationPressureOverWaterKpa(bench.medium.topC),
    },
    house: { conductance: TENT.airExchangeMS, farEnd: house.airKpa },
    wall: { conductance: bench.airKpa > wallKpa ? TENT.wallCondensationMS : 0, farEnd: wallKpa },
  };
}

/**
 * Advances the mist bench by one step.
 * @param bench before
 * @param step start ms since epoch, length s, weather, greenhouse
 * @returns the bench after the step
 * @example steppedBench(FIRST_BENCH, { tMs: 0, stepS: 10, frame, outside, house }).airC
 */
export function steppedBench(
  bench: BenchState,
  step: StepFacts & { readonly house: GreenhouseState },
): BenchState {
  const { tMs, stepS, frame, outside, house } = step;
  const benchSunWM2 = outside.globalWM2 * HOUSE.transmission * TENT.shadeTransmission;
  const mistKgM2 = opensMist(tMs, frame) ? MIST.secondsOpen * MIST.waterKgM2S : 0;
  const vapour = benchVapour(bench, house, benchSunWM2);
  const airKpa = relaxed({
    value: bench.airKpa,
    capacity: TENT.heightM,
    gain: 0,
    paths: [vapour.film, vapour.medium, vapour.house, vapour.wall],
    stepS,
  });
  const leaving = (path: { readonly conductance: number; readonly farEnd: number }): number =>
    VAPOUR_KG_M3_KPA * path.conductance * (path.farEnd - airKpa);
  const filmLossKgM2 = Math.max(0, leaving(vapour.film)) * stepS;
  const airC = relaxed({
    value: bench.airC,
    capacity: TENT.heatJM2K,
    gain: benchSunWM2 * TENT.sunToAirShare - (filmLossKgM2 / stepS) * LATENT_HEAT_J_KG,
    paths: [
      { conductance: TENT.airExchangeWM2K, farEnd: house.airC },
      { conductance: TENT.mediumExchangeWM2K, farEnd: bench.medium.topC },
    ],
    stepS,
  });
  return {
    airC,
    airKpa: Math.min(airKpa, saturationPressureOverWaterKpa(airC)),
    filmKgM2: Math.min(TENT.filmHoldsKgM2, Math.max(0, bench.filmKgM2 - filmLossKgM2) + mistKgM2),
    ...steppedMedia(bench, step, {
      mistKgM2,
      evaporationKgM2S: Math.max(0, leaving(vapour.medium)),
      benchSunWM2,
    }),
  };
}

function steppedMedia(
  bench: BenchState,
  { tMs, stepS, frame, house }: StepFacts & { readonly house: GreenhouseState },
  flows: { readonly mistKgM2: number; readonly evaporationKgM2S: number; readonly benchSunWM2: number },
) {
  const moment = localMoment({ tMs, utcOffsetMs: frame.utcOffsetMs });
  const isMatOn = thermostat(bench.isMatOn, {
    temperatureC: cutEndC(bench.medium),
    onBelowC: MEDIUM.matOnBelowC,
    offAboveC: MEDIUM.matOffAboveC,
  });
  const hasFailed = isUnderWay(EVENTS.matFailure, { moment, lastDay: frame.lastDay });
  const matWM2 = isMatOn && !hasFailed ? MEDIUM.matWM2 : 0;
  const facts = {
    surfaceWM2:
      MEDIUM.sunShare * flows.benchSunWM2 -
      flows.evaporationKgM2S * LATENT_HEAT_J_KG +
      (flows.mistKgM2 / stepS) * WATER_J_KG_K * (MIST.waterC - bench.medium.topC),
    airC: bench.airC,
    belowC: house.airC,
    belowLossWM2K: MEDIUM.belowLossWM2K,
    layerHeatJM2K: MEDIUM.layerHeatJM2K,
    layerExchangeWM2K: MEDIUM.layerExchangeWM2K,
    stepS,
  };
  return {
    isMatOn,
    medium: steppedMedium(bench.medium, { ...facts, matWM2, topLossWM2K: MEDIUM.topLossWM2K }),
    endMedium: steppedMedium(bench.endMedium, {
      ...facts,
      matWM2: matWM2 * MEDIUM.endMatShare,
      topLossWM2K: MEDIUM.topLossWM2K * MEDIUM.endLossShare,
    }),
  };
}
