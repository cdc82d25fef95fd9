import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { seededNumbers } from '../support/seeded.ts';
import { type Sensor, STEP_MS, sensorsOf } from './workload.ts';

/** Devices with so many probes each, that all send a pack every 10 s. */
export type Fleet = {
  readonly devices: number;
  readonly probesADevice: number;
  readonly steps: number;
  /** over how much time packs arrive that carry no time of their own, ms; 0: they carry it, whole seconds */
  readonly jitterMs: number;
  readonly seed: number;
};

export type Pack = { readonly device: number; readonly sensors: readonly Sensor[]; readonly tMs: number };

/**
 * All packs of a fleet in the order of time, the devices spread over the 10 s.
 *
 * @param fleet who sends
 * @param startMs of the first step, ms since epoch
 */
export function* packsOf(fleet: Fleet, startMs: number): Generator<Pack> {
  const { devices, probesADevice, steps, jitterMs, seed } = fleet;
  const next = seededNumbers(seed);
  const sensors = Array.from({ length: devices }, (_, device) =>
    sensorsOf({ count: probesADevice, seed: seed + device }),
  );
  for (let step = 0; step < steps; step += 1) {
    for (let device = 0; device < devices; device += 1) {
      const afterMs = 1000 * Math.floor((device * STEP_MS) / devices / 1000) + Math.floor(next() * jitterMs);
      yield { device, sensors: sensors[device] ?? [], tMs: startMs + step * STEP_MS + afterMs };
    }
  }
}

/**
 * A pack as it comes through the door.
 *
 * @param pack what is sent
 * @param timed whether it carries its time; without, its arrival is its time
 */
export function messageOf({ device, sensors, tMs }: Pack, timed: boolean) {
  const [first, ...others] = sensors.map(({ name, unit, valueAt }) => ({ n: name, u: unit, v: valueAt(tMs) }));
  const head = timed ? { bt: tMs / 1000, ...first } : first;
  return {
    topic: readingsTopic(`device-${device + 1}`),
    payload: new TextEncoder().encode(JSON.stringify([head, ...others])),
  };
}
