import { saturationPressureOverWaterKpa } from '../../../shared/climate/saturation.ts';
import {
  AIR_J_M3_K,
  cutEndC,
  LATENT_HEAT_J_KG,
  type Medium,
  relaxed,
  steppedMedium,
  thermostat,
  VAPOUR_KG_M3_KPA,
} from './physics.ts';
import { type DemoFrame, DOME, EVENTS, isUnderWay, type LocalMoment, localMoment } from './scenario.ts';
import type { Outside, StepFacts } from './weather.ts';

const { room: ROOM, window: WINDOW, shell: SHELL, water: WATER, vent: VENT, medium: MEDIUM } = DOME;

/** A bottle over a pot on a sill, and the room it stands in. */
export type DomeState = {
  readonly roomC: number;
  readonly airC: number;
  readonly wallC: number;
  readonly airKpa: number;
  /** water that has condensed on the wall, kg */
  readonly wallKg: number;
  readonly medium: Medium;
  readonly isMatOn: boolean;
};

/** A dome as it might stand at night; a day of spin-up takes the guess out of it. */
export const FIRST_DOME: DomeState = {
  roomC: 16,
  airC: 17.5,
  wallC: 16.5,
  airKpa: 1.9,
  wallKg: 0.001,
  medium: { baseC: 24, topC: 22 },
  isMatOn: false,
};

/**
 * Whether the cap is off the dome.
 * @param moment local day and hour
 * @returns true on most mornings for three quarters of an hour
 * @example isVented({ day: 20001, hour: 9 }) // true
 */
export function isVented({ day, hour }: LocalMoment): boolean {
  if (day % VENT.skippedEveryDays === 0) return false;
  return hour >= VENT.fromHour && hour < VENT.fromHour + VENT.minutes / 60;
}

/** How far the sun stands in the window, 0…1. */
function sunInWindow(hour: number): number {
  const passed = (hour - WINDOW.sunFromHour) / (WINDOW.sunToHour - WINDOW.sunFromHour);
  return passed <= 0 || passed >= 1 ? 0 : Math.sqrt(Math.sin(Math.PI * passed));
}

/** Sun's beam and daylight that reach the dome, W/m². */
function lightOnDome(outside: Outside, at: { readonly moment: LocalMoment; readonly lastDay: number }) {
  const blind = isUnderWay(EVENTS.hotAfternoon, at) ? 1 : WINDOW.blindTransmission;
  return {
    beamWM2: outside.beamWM2 * WINDOW.transmission * sunInWindow(at.moment.hour) * blind,
    skyWM2: (outside.globalWM2 + outside.diffuseWM2) * WINDOW.skyShare * WINDOW.transmission,
  };
}

/**
 * Light beside the dome on the sill, daylight and a lamp in the evening.
 * @param outside weather; radiation W/m²
 * @param at time ms since epoch; the demo's fixed facts
 * @returns illuminance, lx
 * @example domeIlluminanceLx(outside, { tMs: 0, frame })
 */
export function domeIlluminanceLx(
  outside: Outside,
  at: { readonly tMs: number; readonly frame: DemoFrame },
): number {
  const moment = localMoment({ tMs: at.tMs, utcOffsetMs: at.frame.utcOffsetMs });
  const { beamWM2, skyWM2 } = lightOnDome(outside, { moment, lastDay: at.frame.lastDay });
  const isLampOn = moment.hour >= WINDOW.lampFromHour && moment.hour < WINDOW.lampToHour;
  return (beamWM2 + skyWM2) * WINDOW.lmPerW + (isLampOn ? WINDOW.lampLx : 0);
}

function steppedRoomC(dome: DomeState, moment: LocalMoment, { outside, stepS }: StepFacts): number {
  const isDay = moment.hour >= ROOM.dayFromHour && moment.hour < ROOM.dayToHour;
  const aimC = isDay ? ROOM.dayC : ROOM.nightC;
  const sunK = ROOM.sunK * sunInWindow(moment.hour) * Math.min(1, outside.beamWM2 / 800);
  const hours = aimC + sunK > dome.roomC ? ROOM.warmsWithinHours : ROOM.coolsWithinHours;
  const rate = 1 / (3600 * hours);
  return relaxed({
    value: dome.roomC,
    capacity: 1,
    gain: 0,
    paths: [{ conductance: rate, farEnd: aimC + sunK }],
    stepS,
  });
}

function vapourPaths(dome: DomeState, moment: LocalMoment, outside: Outside) {
  const wallKpa = saturationPressureOverWaterKpa(dome.wallC);
  const isWallWet = dome.wallKg > 0 || dome.airKpa > wallKpa;
  const airingM3S =
    (isVented(moment) ? WATER.ventM3S : WATER.leakM3S) * Math.exp(DOME.draughtSpread * outside.gust);
  const roomKpa = (ROOM.relativeHumidityPct / 100) * saturationPressureOverWaterKpa(ROOM.dayC);
  return {
    medium: {
      conductance: WATER.mediumEvaporationM3S,
      farEnd: saturationPressureOverWaterKpa(dome.medium.topC),
    },
    leaf: { conductance: WATER.leafEvaporationM3S, farEnd: saturationPressureOverWaterKpa(dome.airC) },
    wall: { conductance: isWallWet ? WATER.wallMS * SHELL.wallM2 : 0, farEnd: wallKpa },
    room: { conductance: airingM3S, farEnd: roomKpa },
  };
}

/**
 * Advances the bottle dome and its room by one step.
 * @param dome before
 * @param step start ms since epoch, length s, weather
 * @returns the dome after the step
 * @example steppedDome(FIRST_DOME, { tMs: 0, stepS: 10, frame, outside }).airC
 */
export function steppedDome(dome: DomeState, step: StepFacts): DomeState {
  const { stepS, frame, outside } = step;
  const moment = localMoment({ tMs: step.tMs, utcOffsetMs: frame.utcOffsetMs });
  const { beamWM2, skyWM2 } = lightOnDome(outside, { moment, lastDay: frame.lastDay });
  const sunW = (beamWM2 + skyWM2) * SHELL.sunlitM2 * SHELL.transmission;
  const sillC = dome.roomC + ROOM.sillShare * (outside.temperatureC - dome.roomC);
  const vapour = vapourPaths(dome, moment, outside);
  const airKpa = relaxed({
    value: dome.airKpa,
    capacity: SHELL.volumeM3,
    gain: 0,
    paths: Object.values(vapour),
    stepS,
  });
  const flowKgS = (path: { readonly conductance: number; readonly farEnd: number }): number =>
    VAPOUR_KG_M3_KPA * path.conductance * (path.farEnd - airKpa);
  const wallGainKgS = Math.max(-dome.wallKg / stepS, -flowKgS(vapour.wall));
  const airWall = SHELL.airWallWM2K * SHELL.wallM2;
  const airC = relaxed({
    value: dome.airC,
    capacity: SHELL.airHeatJK,
    gain: sunW * SHELL.sunToAirShare - flowKgS(vapour.leaf) * LATENT_HEAT_J_KG,
    paths: [
      { conductance: airWall, farEnd: dome.wallC },
      { conductance: MEDIUM.topLossWM2K * SHELL.baseM2, farEnd: dome.medium.topC },
      { conductance: vapour.room.conductance * AIR_J_M3_K, farEnd: sillC },
    ],
    stepS,
  });
  const wallC = relaxed({
    value: dome.wallC,
    capacity: SHELL.wallHeatJK,
    gain: sunW * SHELL.sunToWallShare + wallGainKgS * LATENT_HEAT_J_KG,
    paths: [
      { conductance: airWall, farEnd: dome.airC },
      { conductance: SHELL.wallRoomWM2K * SHELL.wallM2, farEnd: sillC },
    ],
    stepS,
  });
  const evaporationW = Math.max(0, flowKgS(vapour.medium)) * LATENT_HEAT_J_KG;
  return {
    roomC: steppedRoomC(dome, moment, step),
    airC,
    wallC,
    airKpa: Math.min(airKpa, saturationPressureOverWaterKpa(airC)),
    wallKg: Math.min(WATER.wallHoldsKg, Math.max(0, dome.wallKg + wallGainKgS * stepS)),
    ...steppedPot(dome, { stepS, sillC, surfaceW: sunW * SHELL.sunToMediumShare - evaporationW }),
  };
}

function steppedPot(
  dome: DomeState,
  facts: { readonly stepS: number; readonly sillC: number; readonly surfaceW: number },
): Pick<DomeState, 'medium' | 'isMatOn'> {
  const isMatOn = thermostat(dome.isMatOn, {
    temperatureC: cutEndC(dome.medium),
    onBelowC: MEDIUM.matOnBelowC,
    offAboveC: MEDIUM.matOffAboveC,
  });
  const medium = steppedMedium(dome.medium, {
    matWM2: isMatOn ? MEDIUM.matWM2 : 0,
    surfaceWM2: facts.surfaceW / SHELL.baseM2,
    airC: dome.airC,
    topLossWM2K: MEDIUM.topLossWM2K,
    belowC: facts.sillC,
    belowLossWM2K: MEDIUM.sideLossWM2K,
    layerHeatJM2K: MEDIUM.layerHeatJM2K,
    layerExchangeWM2K: MEDIUM.layerExchangeWM2K,
    stepS: facts.stepS,
  });
  return { medium, isMatOn };
}
