import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { seededNumbers } from '../support/seeded.ts';
import { type Sensor, STEP_MS, sensorsOf } from './workload.ts';

/** Devices with so many probes each, all read every 10 s. */
export type Fleet = {
  readonly devices: number;
  readonly probesADevice: number;
  /** readings of each probe */
  readonly steps: number;
  /** how many of them a pack holds; it is sent when the last is due */
  readonly stepsAPack: number;
  /** over how much time packs arrive that carry no time of their own, ms; 0: they carry it, whole seconds */
  readonly jitterMs: number;
  readonly seed: number;
};

/** What a device sends at once: the sensors' readings at each of the times. */
export type Pack = {
  readonly device: number;
  readonly sensors: readonly Sensor[];
  readonly timesMs: readonly number[];
  readonly sentMs: number;
};

/**
 * All packs of a fleet in the order in which they are sent, the devices spread evenly over time.
 *
 * @param fleet who sends
 * @param startMs of the first step, ms since epoch
 */
export function* packsOf(fleet: Fleet, startMs: number): Generator<Pack> {
  const { devices, probesADevice, steps, stepsAPack, jitterMs, seed } = fleet;
  const everyMs = stepsAPack * STEP_MS;
  const next = seededNumbers(seed);
  // one row of noise serves all: it would weigh more than the daemon that is measured
  const all = sensorsOf({ count: devices * probesADevice, seed });
  for (let step = 0; step < steps; step += stepsAPack) {
    for (let device = 0; device < devices; device += 1) {
      const afterMs = 1000 * Math.floor((device * everyMs) / devices / 1000) + Math.floor(next() * jitterMs);
      const firstMs = startMs + step * STEP_MS + afterMs;
      const timesMs = Array.from({ length: stepsAPack }, (_, k) => firstMs + k * STEP_MS);
      const sensors = all.slice(device * probesADevice, (device + 1) * probesADevice);
      yield { device, sensors, timesMs, sentMs: firstMs + everyMs - STEP_MS };
    }
  }
}

/**
 * A pack as it comes through the door.
 *
 * @param pack what is sent
 * @param timed whether it carries its times; without, its arrival is the time of all its readings
 */
export function messageOf({ device, sensors, timesMs }: Pack, timed: boolean) {
  const records = timesMs.flatMap((tMs) =>
    sensors.map(({ name, unit, valueAt }) => {
      const record = { n: name, u: unit, v: valueAt(tMs) };
      return timed ? { ...record, t: tMs / 1000 } : record;
    }),
  );
  return {
    topic: readingsTopic(`device-${device + 1}`),
    payload: new TextEncoder().encode(JSON.stringify(records)),
  };
}
