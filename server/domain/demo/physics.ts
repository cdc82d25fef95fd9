import { saturationPressureOverWaterKpa } from '../../../shared/climate/saturation.ts';

/** Mass of vapour in a cubic metre for each kPa, kg, at 295 K: 1 / (0.4615 kPa m³ kg⁻¹ K⁻¹ × 295 K). */
export const VAPOUR_KG_M3_KPA = 1 / (0.4615 * 295);
/** Heat to evaporate a kilogram of water near 20 °C, J. Common textbook value, from memory. */
export const LATENT_HEAT_J_KG = 2.45e6;

/** Heat to warm a cubic metre of air by a kelvin near 20 °C, J. Common textbook value, from memory. */
export const AIR_J_M3_K = 1200;

/** One path for heat or vapour: what lies at its far end, and how well it conducts. */
type Path = { readonly conductance: number; readonly farEnd: number };

/**
 * Advances one lumped store of heat or vapour by one step, taking the end of the step for the flows, so that it
 * is stable however fast the store follows.
 * Relation: implicit Euler step of C dx/dt = gain + Σ G (far − x), textbook
 * @param store value °C or kPa; capacity J/K or m³; gain W or m³ kPa/s; paths with conductance W/K or m³/s; step s
 * @returns the value at the end of the step, °C or kPa
 * @example relaxed({ value: 20, capacity: 100, gain: 0, paths: [{ conductance: 100, farEnd: 10 }], stepS: 1 }) // 15
 */
export function relaxed(store: {
  readonly value: number;
  readonly capacity: number;
  readonly gain: number;
  readonly paths: readonly Path[];
  readonly stepS: number;
}): number {
  let sum = store.capacity * store.value + store.gain * store.stepS;
  let weight = store.capacity;
  for (const path of store.paths) {
    sum += path.conductance * path.farEnd * store.stepS;
    weight += path.conductance * store.stepS;
  }
  return sum / weight;
}

/**
 * Whether a thermostat with a dead band calls for heat.
 * @param isOn whether it did before
 * @param limits temperature now, below which it switches on, above which it switches off, °C
 * @returns true while it heats
 * @example thermostat(true, { temperatureC: 20, onBelowC: 19, offAboveC: 21 }) // true
 */
export function thermostat(
  isOn: boolean,
  limits: { readonly temperatureC: number; readonly onBelowC: number; readonly offAboveC: number },
): boolean {
  if (limits.temperatureC < limits.onBelowC) return true;
  return limits.temperatureC > limits.offAboveC ? false : isOn;
}

/**
 * How damp air is.
 * @param air vapour pressure kPa, 0 or more; temperature °C
 * @returns relative humidity, 0…100 %RH
 * @example relativeHumidityPct({ vapourKpa: 1.169, temperatureC: 20 }) // 50
 */
export function relativeHumidityPct(air: {
  readonly vapourKpa: number;
  readonly temperatureC: number;
}): number {
  return Math.min(100, (100 * air.vapourKpa) / saturationPressureOverWaterKpa(air.temperatureC));
}

/** Rooting medium in two layers, °C; the cut ends and the probe lie between them. */
export type Medium = { readonly baseC: number; readonly topC: number };

/**
 * The temperature at the cut ends.
 * @param medium both layers, °C
 * @returns °C
 * @example cutEndC({ baseC: 25, topC: 23 }) // 24
 */
export function cutEndC(medium: Medium): number {
  return (medium.baseC + medium.topC) / 2;
}

/**
 * Warms or cools a medium for one step: mat below, air above, evaporation and mist water at its surface.
 * @param medium both layers, °C
 * @param facts heat from mat and at the surface W/m²; air above and surroundings below °C; conductances W/m²K;
 * heat capacity of a layer J/m²K; step s
 * @returns both layers, °C
 * @example steppedMedium({ baseC: 20, topC: 20 }, { matWM2: 0, surfaceWM2: 0, airC: 20, topLossWM2K: 12, belowC: 20, belowLossWM2K: 0, layerHeatJM2K: 52000, layerExchangeWM2K: 34, stepS: 10 })
 */
export function steppedMedium(
  medium: Medium,
  facts: {
    readonly matWM2: number;
    readonly surfaceWM2: number;
    readonly airC: number;
    readonly topLossWM2K: number;
    readonly belowC: number;
    readonly belowLossWM2K: number;
    readonly layerHeatJM2K: number;
    readonly layerExchangeWM2K: number;
    readonly stepS: number;
  },
): Medium {
  const layer = { capacity: facts.layerHeatJM2K, stepS: facts.stepS };
  const between = facts.layerExchangeWM2K;
  return {
    baseC: relaxed({
      ...layer,
      value: medium.baseC,
      gain: facts.matWM2,
      paths: [
        { conductance: between, farEnd: medium.topC },
        { conductance: facts.belowLossWM2K, farEnd: facts.belowC },
      ],
    }),
    topC: relaxed({
      ...layer,
      value: medium.topC,
      gain: facts.surfaceWM2,
      paths: [
        { conductance: between, farEnd: medium.baseC },
        { conductance: facts.topLossWM2K, farEnd: facts.airC },
      ],
    }),
  };
}
