import { describe, expect, test } from 'vitest';
import {
  evaporativeDemand,
  type LeafSample,
} from '../../../../../server/domain/batches/evaporative-demand.ts';

const HOUR_MS = 3_600_000;
const leaf = { lightSource: 'daylight', airSpeedMS: 0.1, leafWidthM: 0.05 } as const;
const sample = (hour: number, change: Partial<LeafSample> = {}): LeafSample => ({
  tMs: hour * HOUR_MS,
  airTemperatureC: 24,
  relativeHumidityPct: 95,
  leafTemperatureC: 27,
  ppfdUmolM2S: null,
  wetShare: 0,
  ...change,
});
const demand = (samples: readonly LeafSample[], maxGapMs = 3 * HOUR_MS) =>
  evaporativeDemand(samples, leaf, maxGapMs);

describe('how hard the air pulled at dry leaves', () => {
  // Check value 17 of the batch facts: leaf 27 °C, air 24 °C and 95 %RH: 0.731 kPa
  test('a dry leaf of 27 °C in air of 24 °C and 95 %RH gathers 0.731 kPa·h an hour', () => {
    const { kpaHours, coveredHours } = demand([sample(0), sample(1), sample(2)]);
    expect((kpaHours / 2).toFixed(3)).toBe('0.731');
    expect(coveredHours).toBe(2);
  });

  test('half wet leaves gather half, wet ones nothing', () => {
    const dry = demand([sample(0), sample(1)]).kpaHours;
    const wet = (wetShare: number) => demand([sample(0, { wetShare }), sample(1, { wetShare })]).kpaHours;
    expect(wet(0.5)).toBeCloseTo(dry / 2, 12);
    expect(wet(1)).toBe(0);
  });

  // ∫ (1 − x) dx over an hour, the leaf drying from wet to dry: half
  test('a leaf that dries in an hour gathers half of it', () => {
    const drying = demand([sample(0, { wetShare: 1 }), sample(1)]);
    expect(drying.kpaHours).toBeCloseTo(demand([sample(0), sample(1)]).kpaHours / 2, 12);
  });

  test('a gradient that rises from −g to 3 g along a line gathers three quarters of 3 g / 2', () => {
    // leaf at saturation of the air less and more: worked from the sums of the ends themselves
    const dewy = sample(0, { relativeHumidityPct: 100, leafTemperatureC: 20 });
    const dry = sample(1, { relativeHumidityPct: 100, leafTemperatureC: 27 });
    const ofBoth = (one: LeafSample) => demand([one, { ...one, tMs: one.tMs + HOUR_MS }]).kpaHours;
    const high = ofBoth(dry);
    // FAO 56 annex 2, table 2.3: es(24) = 2.984, es(20) = 2.338 kPa
    const low = 2.338 - 2.984;
    expect(ofBoth(dewy)).toBe(0);
    expect(demand([dewy, dry]).kpaHours).toBeCloseTo((high * high) / (high - low) / 2, 3);
    expect(
      demand([
        { ...dry, tMs: 0 },
        { ...dewy, tMs: HOUR_MS },
      ]).kpaHours,
    ).toBeCloseTo((high * high) / (high - low) / 2, 3);
  });

  test('a gap longer than 3 h covers nothing', () => {
    expect(demand([sample(0), sample(1), sample(5), sample(6)]).coveredHours).toBe(2);
  });

  test('hours with an estimated leaf, or of unknown wetness, are marked', () => {
    const unread = { leafTemperatureC: null, wetShare: null };
    const marked = demand([sample(0), sample(1), sample(2, unread), sample(3, unread)]);
    expect(marked).toMatchObject({ coveredHours: 3, leafEstimatedHours: 2, wetnessUnknownHours: 2 });
  });

  test('a leaf that is not measured is as warm as the air in the dark, and warmer in light', () => {
    const at = (ppfdUmolM2S: number | null) =>
      demand([0, 1].map((hour) => sample(hour, { leafTemperatureC: null, ppfdUmolM2S }))).kpaHours;
    // check value 17: air alone 0.149 kPa
    expect(at(0).toFixed(3)).toBe('0.149');
    expect(at(null)).toBe(at(0));
    expect(at(600)).toBeGreaterThan(at(300));
  });

  test('times that do not ascend are refused; one sample covers nothing', () => {
    expect(() => demand([sample(1), sample(1)])).toThrow('sample 1');
    expect(demand([sample(0)])).toEqual({
      kpaHours: 0,
      coveredHours: 0,
      leafEstimatedHours: 0,
      wetnessUnknownHours: 0,
    });
  });
});
