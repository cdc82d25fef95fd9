import { type BenchState, benchPpfdUmolM2S, opensMist } from './bench.ts';
import { type DomeState, domeIlluminanceLx } from './dome.ts';
import { cutEndC, relativeHumidityPct } from './physics.ts';
import { gaussian } from './random.ts';
import { BENCH, type DemoFrame, PHYSICS_STEP_MS } from './scenario.ts';
import type { Outside } from './weather.ts';

/** One measurement as a device sends it. */
export type DemoReading = {
  readonly probe: string;
  readonly unit: string;
  readonly value: number;
  readonly tMs: number;
};

/** What a probe's chip does to the truth: noise (one standard deviation), the step it counts in, and its reach. */
type Chip = {
  readonly unit: string;
  readonly noise: number;
  readonly resolution: number;
  readonly low: number;
  readonly high: number;
};

/** Simulated chips with the steps of common cheap ones, from memory. */
const ONE_WIRE: Chip = { unit: 'Cel', noise: 0.025, resolution: 0.0625, low: -55, high: 125 };
const AIR_CHIP: Chip = { unit: 'Cel', noise: 0.02, resolution: 0.01, low: -40, high: 125 };
const FINE_HUMIDITY: Chip = { unit: '%RH', noise: 0.12, resolution: 0.01, low: 0, high: 100 };
const COARSE_HUMIDITY: Chip = { unit: '%RH', noise: 0.1, resolution: 0.1, low: 0, high: 99.9 };
const QUANTUM: Chip = { unit: 'umol/m2/s', noise: 0.15, resolution: 0.1, low: 0, high: 4000 };
const LUX: Chip = { unit: 'lx', noise: 0.6, resolution: 1, low: 0, high: 120_000 };
const VALVE_UNIT = '/';

type Sample = { readonly frame: DemoFrame; readonly tMs: number; readonly outside: Outside };

function read(
  chip: Chip,
  true_: { readonly value: number; readonly stream: number; readonly sample: Sample },
) {
  const { frame, tMs } = true_.sample;
  const draw = { seed: frame.seed, stream: true_.stream, index: Math.floor(tMs / 1000) };
  const steps = Math.round((true_.value + chip.noise * gaussian(draw)) / chip.resolution);
  const value = Math.min(chip.high, Math.max(chip.low, Number((steps * chip.resolution).toFixed(4))));
  return { unit: chip.unit, value, tMs };
}

/**
 * What the bench's device reads at a time, its valve aside.
 * @param bench the truth, °C and kPa
 * @param sample time ms since epoch, weather
 * @returns one reading a probe, in the probe's unit
 * @example benchReadings(FIRST_BENCH, { frame, tMs: 0, outside }).length // 5
 */
export function benchReadings(bench: BenchState, sample: Sample): DemoReading[] {
  const humidityPct = relativeHumidityPct({ vapourKpa: bench.airKpa, temperatureC: bench.airC });
  const ppfd = benchPpfdUmolM2S(sample.outside);
  return [
    { probe: 'root/temperature', ...read(ONE_WIRE, { value: cutEndC(bench.medium), stream: 11, sample }) },
    {
      probe: 'root/temperature/2',
      ...read(ONE_WIRE, { value: cutEndC(bench.endMedium), stream: 12, sample }),
    },
    { probe: 'air/temperature', ...read(AIR_CHIP, { value: bench.airC, stream: 13, sample }) },
    { probe: 'air/humidity', ...read(FINE_HUMIDITY, { value: humidityPct, stream: 14, sample }) },
    { probe: 'light/ppfd', ...read(QUANTUM, { value: ppfd, stream: 15, sample }) },
  ];
}

/**
 * What the bench's device reports of its mist valve: each edge at its own second, and its rest at every cadence.
 * @param at time ms since epoch, a multiple of the physics step; whether a reading is due
 * @param frame the demo's fixed facts
 * @returns none, one or two readings of 0 or 1
 * @example valveReadings({ tMs: 0, isDue: true }, { seed: 1, utcOffsetMs: 0, lastDay: 13 })[0].value // 0
 */
export function valveReadings(
  at: { readonly tMs: number; readonly isDue: boolean },
  frame: DemoFrame,
): DemoReading[] {
  const openedAtMs = at.tMs - PHYSICS_STEP_MS;
  const valve = { probe: 'mist/valve', unit: VALVE_UNIT };
  const readings: DemoReading[] = [];
  if (opensMist(openedAtMs, frame))
    readings.push({ ...valve, value: 0, tMs: openedAtMs + 1000 * BENCH.mist.secondsOpen });
  if (opensMist(at.tMs, frame)) readings.push({ ...valve, value: 1, tMs: at.tMs });
  else if (at.isDue) readings.push({ ...valve, value: 0, tMs: at.tMs });
  return readings;
}

/**
 * What the dome's device reads at a time.
 * @param dome the truth, °C and kPa
 * @param sample time ms since epoch, weather
 * @returns one reading a probe, in the probe's unit
 * @example domeReadings(FIRST_DOME, { frame, tMs: 0, outside }).length // 4
 */
export function domeReadings(dome: DomeState, sample: Sample): DemoReading[] {
  const humidityPct = relativeHumidityPct({ vapourKpa: dome.airKpa, temperatureC: dome.airC });
  const lux = domeIlluminanceLx(sample.outside, sample);
  return [
    { probe: 'root/temperature', ...read(ONE_WIRE, { value: cutEndC(dome.medium), stream: 21, sample }) },
    { probe: 'air/temperature', ...read(AIR_CHIP, { value: dome.airC, stream: 22, sample }) },
    { probe: 'air/humidity', ...read(COARSE_HUMIDITY, { value: humidityPct, stream: 23, sample }) },
    { probe: 'light/illuminance', ...read(LUX, { value: lux, stream: 24, sample }) },
  ];
}
