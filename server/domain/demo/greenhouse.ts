import { saturationPressureOverWaterKpa } from '../../../shared/climate/saturation.ts';
import { AIR_J_M3_K, relaxed, thermostat } from './physics.ts';
import { BENCH, localMoment } from './scenario.ts';
import type { StepFacts } from './weather.ts';

const { greenhouse: HOUSE } = BENCH;

/** The greenhouse round the mist bench: its air, and the benches, floor and pots that hold its heat. */
export type GreenhouseState = {
  readonly airC: number;
  readonly structureC: number;
  readonly airKpa: number;
  readonly isHeating: boolean;
};

/** A greenhouse as it might stand at night; a day of spin-up takes the guess out of it. */
export const FIRST_GREENHOUSE: GreenhouseState = { airC: 16, structureC: 17, airKpa: 1.3, isHeating: false };

/** How far the setpoints have gone over to day, 0…1. */
function dayShare(hour: number): number {
  const inside = Math.min(hour - HOUSE.dayFromHour, HOUSE.dayToHour + HOUSE.changeHours - hour);
  return Math.min(1, Math.max(0, inside / HOUSE.changeHours));
}

/**
 * Advances the greenhouse by one step: sun, heater, vents, cover, wet floor and streaming glass.
 * @param house before
 * @param step start ms since epoch, length s, weather
 * @returns the greenhouse after the step, °C and kPa
 * @example steppedGreenhouse(FIRST_GREENHOUSE, { tMs: 0, stepS: 10, frame, outside }).airC
 */
export function steppedGreenhouse(house: GreenhouseState, step: StepFacts): GreenhouseState {
  const { hour } = localMoment({ tMs: step.tMs, utcOffsetMs: step.frame.utcOffsetMs });
  const day = dayShare(hour);
  const setpointC = HOUSE.heatNightC + day * (HOUSE.heatDayC - HOUSE.heatNightC);
  const ventC = HOUSE.ventNightC + day * (HOUSE.ventDayC - HOUSE.ventNightC);
  const isHeating = thermostat(house.isHeating, {
    temperatureC: house.airC,
    onBelowC: setpointC - HOUSE.heaterBandK / 2,
    offAboveC: setpointC + HOUSE.heaterBandK / 2,
  });
  const ventShare = Math.min(1, Math.max(0, (house.airC - ventC) / HOUSE.ventSpanK));
  const airingMS = HOUSE.leakMS + ventShare * HOUSE.ventFullMS;
  return {
    ...steppedHeat(house, { isHeating, airingMS }, step),
    airKpa: steppedVapourKpa(house, airingMS, step),
    isHeating,
  };
}

function steppedHeat(
  house: GreenhouseState,
  control: { readonly isHeating: boolean; readonly airingMS: number },
  { outside, stepS }: StepFacts,
) {
  const sunWM2 = outside.globalWM2 * HOUSE.transmission;
  const toStructure = HOUSE.structureExchangeWM2K;
  const airC = relaxed({
    value: house.airC,
    capacity: HOUSE.airHeatJM2K,
    gain: sunWM2 * HOUSE.sunToAirShare + (control.isHeating ? HOUSE.heaterWM2 : 0),
    paths: [
      {
        conductance: HOUSE.coverLossWM2K + control.airingMS * AIR_J_M3_K,
        farEnd: outside.temperatureC,
      },
      { conductance: toStructure, farEnd: house.structureC },
    ],
    stepS,
  });
  const structureC = relaxed({
    value: house.structureC,
    capacity: HOUSE.structureHeatJM2K,
    gain: sunWM2 * HOUSE.sunToStructureShare,
    paths: [{ conductance: toStructure, farEnd: house.airC }],
    stepS,
  });
  return { airC, structureC };
}

function steppedVapourKpa(house: GreenhouseState, airingMS: number, { outside, stepS }: StepFacts): number {
  const coverKpa = saturationPressureOverWaterKpa((house.airC + 2 * outside.temperatureC) / 3);
  const floorKpa = HOUSE.floorWetness * saturationPressureOverWaterKpa(house.structureC);
  return relaxed({
    value: house.airKpa,
    capacity: HOUSE.heightM,
    gain: 0,
    paths: [
      { conductance: airingMS, farEnd: outside.vapourKpa },
      { conductance: HOUSE.floorEvaporationMS, farEnd: floorKpa },
      { conductance: house.airKpa > coverKpa ? HOUSE.coverCondensationMS : 0, farEnd: coverKpa },
    ],
    stepS,
  });
}
