import type { Segments } from '../../../shared/exposure/series.ts';

/**
 * Energy of bottom heat from its measured power: the area under it.
 * @param power W, straight between readings
 * @returns kWh and the hours that were covered
 * @example energyOf({ count: 1, startMs: [0], endMs: [3_600_000], startValue: [60], endValue: [60] }).kWh // 0.06
 */
export function energyOf({ count, startMs, endMs, startValue, endValue }: Segments): {
  readonly kWh: number;
  readonly coveredHours: number;
} {
  let [wattHours, hours] = [0, 0];
  for (let n = 0; n < count; n++) {
    const long = ((endMs[n] as number) - (startMs[n] as number)) / 3_600_000;
    wattHours += (((startValue[n] as number) + (endValue[n] as number)) / 2) * long;
    hours += long;
  }
  return { kWh: wattHours / 1000, coveredHours: hours };
}

/** A root zone that rises faster than this is being heated, K an hour: sensors step by a sixteenth. */
const RISING_K_PER_H = 0.15;

/**
 * How much of the time a mat was on, where its power is not measured: an estimate from the saw-tooth of its thermostat. It
 * was on while the root zone, warmer than the air, rose.
 * @param root °C, one value a step; NaN where it is not covered
 * @param air the same of the air
 * @returns share of the covered time 0…1, and that time, h
 */
export function dutyOf(
  { root, air }: { readonly root: Float64Array; readonly air: Float64Array },
  stepMin: number,
): { readonly share: number; readonly coveredHours: number } {
  let [on, covered] = [0, 0];
  for (let n = 1; n < root.length; n++) {
    const move = (((root[n] as number) - (root[n - 1] as number)) / stepMin) * 60;
    const over = (root[n] as number) - (air[n] as number);
    if (Number.isNaN(move) || Number.isNaN(over)) continue;
    covered++;
    if (move > RISING_K_PER_H && over > 0) on++;
  }
  return { share: covered === 0 ? 0 : on / covered, coveredHours: (covered * stepMin) / 60 };
}

/**
 * Degree-hours by which a root zone was kept above the air.
 * @returns K·h over the steps at which both are known
 * @example heldKh({ root: Float64Array.of(24, 24), air: Float64Array.of(18, 18) }, 60) // 12
 */
export function heldKh(
  { root, air }: { readonly root: Float64Array; readonly air: Float64Array },
  stepMin: number,
): number {
  let sum = 0;
  for (let n = 0; n < root.length; n++) {
    const over = (root[n] as number) - (air[n] as number);
    if (over > 0) sum += over * (stepMin / 60);
  }
  return sum;
}
