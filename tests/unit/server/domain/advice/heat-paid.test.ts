import { describe, expect, test } from 'vitest';
import { dutyOf, energyOf, heldKh } from '../../../../../server/domain/advice/heat-paid.ts';

const HOUR = 3_600_000;

describe('bottom heat', () => {
  test('of 60 W for 2 h and falling to 0 over 1 h took 0.15 kWh', () => {
    const energy = energyOf({
      count: 2,
      startMs: Float64Array.of(0, 2 * HOUR),
      endMs: Float64Array.of(2 * HOUR, 3 * HOUR),
      startValue: Float64Array.of(60, 60),
      endValue: Float64Array.of(60, 0),
    });
    expect(energy.kWh).toBeCloseTo(0.15, 9);
    expect(energy.coveredHours).toBeCloseTo(3, 9);
  });

  test('kept a root zone 6 K above the air for 4 h: 24 K·h, and none while it was below', () => {
    const both = { root: new Float64Array(24).fill(24), air: new Float64Array(24).fill(18) };
    expect(heldKh(both, 10)).toBeCloseTo(24, 9);
    expect(heldKh({ root: both.air, air: both.root }, 10)).toBe(0);
  });

  test('was on a third of the time where the root zone rose for 20 min and fell for 40', () => {
    const tooth = [0, 0.3, 0.6, 0.45, 0.3, 0.15];
    const root = Float64Array.from({ length: 145 }, (_, n) => 23 + (tooth[n % 6] ?? 0));
    const duty = dutyOf({ root, air: new Float64Array(145).fill(17) }, 10);
    expect(duty.share).toBeCloseTo(1 / 3, 2);
    expect(duty.coveredHours).toBeCloseTo(24, 9);
  });

  test('was not on where the sun warmed the root zone from the air', () => {
    const root = Float64Array.from({ length: 60 }, (_, n) => 18 + n * 0.05);
    expect(dutyOf({ root, air: root.map((value) => value + 2) }, 10).share).toBe(0);
  });
});
