import { seededNumbers } from '../support/seeded.ts';

/** Time between the readings of a probe, ms. */
export const STEP_MS = 10_000;
const DAY_MS = 86_400_000;

/** A probe of the workload, as a device sends it. */
export type Sensor = {
  readonly name: string;
  readonly quantity: string;
  readonly unit: string;
  /** what it reads at a time, ms since epoch */
  readonly valueAt: (tMs: number) => number;
};

/** What a chip reads: a daily wave between two ends, with noise (one standard deviation), in steps, within its reach. */
type Chip = {
  readonly quantity: string;
  readonly unit: string;
  readonly night: number;
  readonly noon: number;
  readonly noise: number;
  /** noise as a part of the value, as passing clouds make it */
  readonly flicker: number;
  readonly stepsPerUnit: number;
  readonly low: number;
  readonly high: number;
};

/** Noise and steps are those of the demo's simulated chips. */
const ROOT = { quantity: 'root/temperature', unit: 'Cel', night: 22, noon: 24, noise: 0.025, flicker: 0 };
const AIR = { quantity: 'air/temperature', unit: 'Cel', night: 15, noon: 26, noise: 0.02, flicker: 0 };
const HUMIDITY = { quantity: 'air/humidity', unit: '%RH', night: 96, noon: 74, flicker: 0 };
const CHIPS: readonly Chip[] = [
  { ...ROOT, stepsPerUnit: 16, low: -55, high: 125 },
  { ...ROOT, noon: 24.5, stepsPerUnit: 16, low: -55, high: 125 },
  { ...AIR, stepsPerUnit: 100, low: -40, high: 125 },
  { ...HUMIDITY, noise: 0.12, stepsPerUnit: 100, low: 0, high: 100 },
  {
    quantity: 'light/ppfd',
    unit: 'umol/m2/s',
    night: -400,
    noon: 600,
    noise: 0.15,
    flicker: 0.01,
    stepsPerUnit: 10,
    low: 0,
    high: 4000,
  },
  { ...ROOT, night: 20, stepsPerUnit: 16, low: -55, high: 125 },
  { ...ROOT, night: 20, noon: 23, stepsPerUnit: 16, low: -55, high: 125 },
  { ...AIR, night: 17, stepsPerUnit: 100, low: -40, high: 125 },
  { ...HUMIDITY, noise: 0.1, stepsPerUnit: 10, low: 0, high: 99.9 },
  {
    quantity: 'light/illuminance',
    unit: 'lx',
    night: -20_000,
    noon: 30_000,
    noise: 0.6,
    flicker: 0.01,
    stepsPerUnit: 1,
    low: 0,
    high: 120_000,
  },
];

/** Probes of the kind, numbered where a device has several. */
export function sensorsOf({ count, seed }: { count: number; seed: number }): Sensor[] {
  const noise = noiseOf(seed);
  return Array.from({ length: count }, (_, index) => {
    const chip = CHIPS[index % CHIPS.length] as Chip;
    return {
      name: index < 1 ? chip.quantity : `${chip.quantity}/${index + 1}`,
      quantity: chip.quantity,
      unit: chip.unit,
      valueAt: (tMs) => read(chip, { tMs, noise: noiseAt(noise, index, tMs) }),
    };
  });
}

function read(chip: Chip, { tMs, noise }: { tMs: number; noise: number }): number {
  const middle = (chip.noon + chip.night) / 2;
  const wave = -Math.cos((2 * Math.PI * (tMs % DAY_MS)) / DAY_MS);
  const truth = Math.max(chip.low, middle + ((chip.noon - chip.night) / 2) * wave);
  const received = truth + noise * (chip.noise + chip.flicker * truth);
  return (
    Math.round(Math.min(chip.high, Math.max(chip.low, received)) * chip.stepsPerUnit) / chip.stepsPerUnit
  );
}

const NOISES = 2 ** 16;

/** About normal, standard deviation 1: the sum of 4 even numbers, drawn once, since drawing takes longer than storing. */
function noiseOf(seed: number): Float64Array {
  const next = seededNumbers(seed);
  return Float64Array.from({ length: NOISES }, () => (next() + next() + next() + next() - 2) * Math.sqrt(3));
}

function noiseAt(noise: Float64Array, index: number, tMs: number): number {
  return noise[(Math.floor(tMs / 1000) + index * 7919) % NOISES] as number;
}
