import { saturationPressureOverWaterKpa } from '../../../shared/climate/saturation.ts';
import { gaussian, uniform } from './random.ts';
import { type DemoFrame, EVENTS, isUnderWay, type LocalMoment, WEATHER } from './scenario.ts';

/** Cloud as two wandering numbers of mean 0 and standard deviation 1: single clouds, and fields of them. */
export type Clouds = { readonly fast: number; readonly slow: number };

/** What the sky and the air outside do now. */
export type Outside = {
  readonly temperatureC: number;
  readonly vapourKpa: number;
  /** wandering strength of the wind, mean 0, standard deviation 1 */
  readonly gust: number;
  /** sun and sky on level ground, W/m² */
  readonly globalWM2: number;
  /** sky alone on level ground, W/m² */
  readonly diffuseWM2: number;
  /** sun's beam on a surface that faces it, W/m² */
  readonly beamWM2: number;
};

/** One step of time in a place: its start, its length, and the weather during it. */
export type StepFacts = {
  readonly tMs: number;
  readonly stepS: number;
  readonly frame: DemoFrame;
  readonly outside: Outside;
};

const STREAM = { fast: 1, slow: 2, dayType: 3, dayMean: 4 } as const;
const RADIANS = Math.PI / 180;
const SIN_SIN = Math.sin(WEATHER.latitudeDeg * RADIANS) * Math.sin(WEATHER.declinationDeg * RADIANS);
const COS_COS = Math.cos(WEATHER.latitudeDeg * RADIANS) * Math.cos(WEATHER.declinationDeg * RADIANS);

type DayType = (typeof WEATHER.dayTypes)[keyof typeof WEATHER.dayTypes];

function wandered(before: number, draw: { readonly shock: number; readonly keep: number }): number {
  return before * draw.keep + draw.shock * Math.sqrt(1 - draw.keep * draw.keep);
}

/**
 * Lets the clouds drift for one step.
 * Relation: first-order autoregression, textbook
 * @param clouds before
 * @param step seed; index of the step; length s
 * @returns clouds after, no unit
 * @example driftedClouds({ fast: 0, slow: 0 }, { seed: 1, index: 1, stepS: 10 })
 */
export function driftedClouds(
  clouds: Clouds,
  step: { readonly seed: number; readonly index: number; readonly stepS: number },
): Clouds {
  const { seed, index } = step;
  const keep = (minutes: number): number => Math.exp(-step.stepS / (60 * minutes));
  const shock = (stream: number): number => gaussian({ seed, stream, index });
  return {
    fast: wandered(clouds.fast, { shock: shock(STREAM.fast), keep: keep(WEATHER.cloudFastMinutes) }),
    slow: wandered(clouds.slow, { shock: shock(STREAM.slow), keep: keep(WEATHER.cloudSlowMinutes) }),
  };
}

function dayTypeOf(day: number, frame: DemoFrame): DayType {
  const { clear, broken, overcast } = WEATHER.dayTypes;
  if (day === frame.lastDay - EVENTS.hotAfternoon.daysBefore) return clear;
  const drawn = uniform({ seed: frame.seed, stream: STREAM.dayType, index: day });
  if (drawn < clear.share) return clear;
  return drawn < clear.share + broken.share ? broken : overcast;
}

function dayCourse(day: number, frame: DemoFrame) {
  const type = dayTypeOf(day, frame);
  const mood = gaussian({ seed: frame.seed, stream: STREAM.dayMean, index: day });
  return { meanC: WEATHER.meanC + type.meanShiftK + WEATHER.dailySpreadK * mood, swingK: type.swingK };
}

function outsideAir(moment: LocalMoment, frame: DemoFrame, clouds: Clouds) {
  const isAfternoon = moment.hour >= 12;
  const early = dayCourse(isAfternoon ? moment.day : moment.day - 1, frame);
  const late = dayCourse(isAfternoon ? moment.day + 1 : moment.day, frame);
  const weight = (moment.hour + (isAfternoon ? -12 : 12)) / 24;
  const meanC = early.meanC + weight * (late.meanC - early.meanC);
  const swingK = early.swingK + weight * (late.swingK - early.swingK);
  const phase = Math.cos((2 * Math.PI * (moment.hour - WEATHER.hottestHour)) / 24);
  return {
    temperatureC: meanC + swingK * phase + WEATHER.gustK * clouds.fast,
    vapourKpa: saturationPressureOverWaterKpa(meanC - swingK - WEATHER.dewPointBelowLowK),
    gust: clouds.fast,
  };
}

function sineOfSunHeight(hour: number): number {
  return SIN_SIN + COS_COS * Math.cos(((hour - WEATHER.solarNoonHour) * Math.PI) / 12);
}

/**
 * The weather outside: a day's course of temperature, and the sun behind passing clouds.
 * Relation: Haurwitz 1945 for the clear sky, 1098 sin(h) exp(−0.057 / sin(h)), from memory
 * @param moment local day and hour
 * @param frame the demo's fixed facts
 * @param clouds as they stand
 * @returns temperature °C, vapour pressure kPa, radiation W/m²
 * @example outsideAt({ day: 20000, hour: 0 }, { seed: 1, utcOffsetMs: 0, lastDay: 20000 }, { fast: 0, slow: 0 }).globalWM2 // 0
 */
export function outsideAt(moment: LocalMoment, frame: DemoFrame, clouds: Clouds): Outside {
  const air = outsideAir(moment, frame, clouds);
  const sine = sineOfSunHeight(moment.hour);
  if (sine <= 0.01) return { ...air, globalWM2: 0, diffuseWM2: 0, beamWM2: 0 };
  const clearWM2 = WEATHER.clearSkyWM2 * sine * Math.exp(-WEATHER.clearSkyExtinction / sine);
  const type = dayTypeOf(moment.day, frame);
  const mixed = WEATHER.cloudSlowWeight * clouds.slow + WEATHER.cloudFastWeight * clouds.fast;
  const cloudless = isUnderWay(EVENTS.hotAfternoon, { moment, lastDay: frame.lastDay });
  const sunSeen = cloudless ? 1 : 1 / (1 + Math.exp((type.cloudThreshold - mixed) / WEATHER.cloudEdge));
  const diffuseWM2 = clearWM2 * type.diffuseShare * (1 + 0.2 * Math.tanh(clouds.slow));
  const beamOnLevelWM2 = clearWM2 * WEATHER.beamShare * sunSeen;
  return {
    ...air,
    globalWM2: diffuseWM2 + beamOnLevelWM2,
    diffuseWM2,
    beamWM2: beamOnLevelWM2 / Math.max(sine, 0.1),
  };
}
