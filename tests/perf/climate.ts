import psychrolib from 'psychrolib';
import { airVpdKpa, dewPointC } from '../../shared/climate/humidity.ts';
import { saturationPressureOverWaterKpa } from '../../shared/climate/saturation.ts';
import { wetBulbC } from '../../shared/climate/wetbulb.ts';
import type { BandPiece } from '../../shared/exposure/bands.ts';
import { DEFAULT_MAX_GAP_MS, segmentsOf } from '../../shared/exposure/coverage.ts';
import { bandExposure } from '../../shared/exposure/integrate.ts';
import { MS_PER_HOUR } from '../../shared/exposure/series.ts';
import { seededNumbers } from '../support/seeded.ts';
import { type Figure, middleRound, quantile, type Round } from './figure.ts';
import type { Sizes } from './sizes.ts';
import { STEP_MS, sensorsOf } from './workload.ts';

psychrolib.SetUnitSystem(psychrolib.SI);

const PRESSURE_KPA = 101.325;
const PRESSURE_PA = 101_325;
const HALF_DAY_MS = 12 * MS_PER_HOUR;

type State = {
  readonly airTemperatureC: number;
  readonly relativeHumidityPct: number;
  readonly pressureKpa: number;
  readonly ratio: number;
};

type Rivals = {
  readonly name: string;
  /** how many of the states a round takes: one in so many */
  readonly oneIn: number;
  readonly ours: (state: State) => number;
  readonly theirs: (state: State) => number;
};

const RIVALS: readonly Rivals[] = [
  {
    name: 'saturation pressure',
    oneIn: 1,
    ours: ({ airTemperatureC }) => saturationPressureOverWaterKpa(airTemperatureC),
    theirs: ({ airTemperatureC }) => psychrolib.GetSatVapPres(airTemperatureC),
  },
  {
    name: 'vapour pressure deficit',
    oneIn: 1,
    ours: airVpdKpa,
    // it starts from the humidity ratio, which it is given ready-made
    theirs: ({ airTemperatureC, ratio }) =>
      psychrolib.GetVaporPressureDeficit(airTemperatureC, ratio, PRESSURE_PA),
  },
  {
    name: 'dew point',
    oneIn: 4,
    ours: dewPointC,
    theirs: ({ airTemperatureC, relativeHumidityPct }) =>
      psychrolib.GetTDewPointFromVapPres(
        airTemperatureC,
        psychrolib.GetVapPresFromRelHum(airTemperatureC, relativeHumidityPct / 100),
      ),
  },
  {
    name: 'wet bulb',
    oneIn: 20,
    ours: wetBulbC,
    theirs: ({ airTemperatureC, ratio }) =>
      psychrolib.GetTWetBulbFromHumRatio(airTemperatureC, ratio, PRESSURE_PA),
  },
];

/** Values per second of the climate formulas beside psychrolib's, in turns in one process, over the same states. */
export function climateFormulas(sizes: Sizes): Figure[] {
  const states = statesOf(sizes);
  return RIVALS.map(({ name, oneIn, ours, theirs }) => {
    const some = states.slice(0, Math.ceil(states.length / oneIn));
    const rounds: Round[] = [];
    // the first round warms up
    for (let round = 0; round <= sizes.climateRounds; round += 1) {
      const rates = { ours: rateOf(ours, some), theirs: rateOf(theirs, some) };
      if (round > 0) rounds.push(rates);
    }
    const middle = middleRound(rounds);
    const of = { name: 'psychrolib', value: middle.theirs };
    return { name: `climate, ${name}`, value: middle.ours, unit: 'M values/s', of };
  });
}

/** Air of 5…45 °C and 20…100 %RH, dew points above freezing. */
function statesOf({ climateStates, seed }: Sizes): State[] {
  const next = seededNumbers(seed);
  return Array.from({ length: climateStates }, () => {
    const airTemperatureC = 5 + 40 * next();
    const lowestPct =
      (100 * saturationPressureOverWaterKpa(0.1)) / saturationPressureOverWaterKpa(airTemperatureC);
    const relativeHumidityPct = Math.max(lowestPct, 20) + next() * (100 - Math.max(lowestPct, 20));
    const vapourPa = psychrolib.GetVapPresFromRelHum(airTemperatureC, relativeHumidityPct / 100);
    const ratio = psychrolib.GetHumRatioFromVapPres(vapourPa, PRESSURE_PA);
    return { airTemperatureC, relativeHumidityPct, pressureKpa: PRESSURE_KPA, ratio };
  });
}

/** Millions a second. */
function rateOf(formula: (state: State) => number, states: readonly State[]): number {
  const startMs = performance.now();
  let sum = 0;
  for (const state of states) sum += formula(state);
  const tookMs = performance.now() - startMs;
  if (!Number.isFinite(sum)) throw new Error('a formula gave no number');
  return states.length / tookMs / 1000;
}

/** Straight segments per second that are held against a band of day and night, on one core. */
export function exposureIntegration(sizes: Sizes): Figure[] {
  const count = sizes.integrationSegments;
  const [, , air] = sensorsOf({ count: 3, seed: sizes.seed });
  if (air === undefined) throw new Error('no air probe in the workload');
  const timesMs = Float64Array.from({ length: count + 1 }, (_, k) => k * STEP_MS);
  const segments = segmentsOf(
    { timesMs, values: timesMs.map((tMs) => air.valueAt(tMs)) },
    { maxGapMs: DEFAULT_MAX_GAP_MS },
  );
  const window = { fromMs: 0, toMs: count * STEP_MS };
  const pieces = Array.from({ length: Math.ceil(window.toMs / HALF_DAY_MS) }, (_, k): BandPiece => {
    const limits = k % 2 === 0 ? { low: 18, high: 24 } : { low: 13, high: 18 };
    return { fromMs: k * HALF_DAY_MS, toMs: (k + 1) * HALF_DAY_MS, ...limits };
  });
  const rates: number[] = [];
  for (let round = 0; round <= sizes.climateRounds; round += 1) {
    const startMs = performance.now();
    const { hoursAbove } = bandExposure(segments, pieces, window);
    const tookMs = performance.now() - startMs;
    if (!(hoursAbove > 0)) throw new Error('the air was never above its band');
    if (round > 0) rates.push(count / tookMs / 1000);
  }
  const name = `exposure of ${count.toLocaleString('en')} segments against a band of day and night, one core`;
  return [{ name, value: quantile(rates, 0.5), unit: 'M segments/s' }];
}
