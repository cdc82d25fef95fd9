import { describe, expect, test } from 'vitest';
import { evaporativeDemand } from '../../../../../server/domain/batches/evaporative-demand.ts';
import { leafVpdKpa } from '../../../../../shared/climate/humidity.ts';
import type { Segments } from '../../../../../shared/exposure/series.ts';

const HOUR_MS = 3_600_000;
const DAY = { fromMs: 0, toMs: 24 * HOUR_MS };

/** Straight pieces from hour to hour, through values at given hours; a null ends a stretch. */
function through(points: readonly (readonly [number, number] | null)[]): Segments {
  const pieces = points.flatMap((to, i) => {
    const from = points[i - 1];
    return from && to ? [{ from, to }] : [];
  });
  const column = (of: (piece: (typeof pieces)[number]) => number) => Float64Array.from(pieces, of);
  return {
    count: pieces.length,
    startMs: column(({ from }) => from[0] * HOUR_MS),
    endMs: column(({ to }) => to[0] * HOUR_MS),
    startValue: column(({ from }) => from[1]),
    endValue: column(({ to }) => to[1]),
  };
}
const NOTHING = through([]);
// check value 17 of the batch facts: leaf 27 °C, air 24 °C and 95 %RH: 0.731 kPa
const WARM_LEAF_KPA = leafVpdKpa({ airTemperatureC: 24, relativeHumidityPct: 95, leafTemperatureC: 27 });
const STEADY = through([
  [0, WARM_LEAF_KPA],
  [1, WARM_LEAF_KPA],
  [2, WARM_LEAF_KPA],
]);
const wet = (from: number, to: number) =>
  through([
    [0, from],
    [2, to],
  ]);

describe('how hard the air pulled at dry leaves', () => {
  test('a dry leaf of 27 °C in air of 24 °C and 95 %RH gathers 0.731 kPa·h an hour', () => {
    const { kpaHours, coveredHours, wetnessUnknownHours } = evaporativeDemand(STEADY, wet(0, 0), DAY);
    expect((kpaHours / 2).toFixed(3)).toBe('0.731');
    expect([coveredHours, wetnessUnknownHours]).toEqual([2, 0]);
  });

  test('half wet leaves gather half, wet ones nothing, one that dries evenly half', () => {
    const of = (wetShare: Segments) => evaporativeDemand(STEADY, wetShare, DAY).kpaHours;
    const dry = of(wet(0, 0));
    expect(of(wet(0.5, 0.5))).toBeCloseTo(dry / 2, 12);
    expect(of(wet(1, 1))).toBe(0);
    expect(of(wet(1, 0))).toBeCloseTo(dry / 2, 12);
  });

  // ∫ (2t)(1 − t/2) dt over 0…2 = [t² − t³/3] = 4 − 8/3 = 4/3
  test('along two straight lines it is exact: a gradient of 0 to 4 kPa over 2 h on a leaf that wets from dry: 4/3 kPa·h', () => {
    const rising = through([
      [0, 0],
      [2, 4],
    ]);
    expect(evaporativeDemand(rising, wet(0, 1), DAY).kpaHours).toBeCloseTo(4 / 3, 12);
    // cut into quarters of an hour by the readings of wetness, it is the same
    const fine = through(Array.from({ length: 9 }, (_, i) => [i / 4, i / 8] as const));
    expect(evaporativeDemand(rising, fine, DAY).kpaHours).toBeCloseTo(4 / 3, 12);
  });

  // from −1 to 3 kPa in an hour: above 0 for three quarters of it, 1.5 kPa in the mean: 1.125
  test('where dew forms nothing is counted: −1 to 3 kPa in an hour are 1.125 kPa·h, as are 3 to −1', () => {
    for (const [from, to] of [
      [-1, 3],
      [3, -1],
    ] as const)
      expect(
        evaporativeDemand(
          through([
            [0, from],
            [1, to],
          ]),
          NOTHING,
          DAY,
        ).kpaHours,
      ).toBeCloseTo(1.125, 12);
  });

  test('a leaf of unknown wetness is taken as dry, and its hours are marked; a gap covers nothing', () => {
    const gap = through([[0, 1], [1, 1], null, [5, 1], [6, 1]]);
    const half = through([
      [0.5, 1],
      [5.5, 1],
    ]);
    expect(evaporativeDemand(gap, half, DAY)).toEqual({
      kpaHours: 1,
      coveredHours: 2,
      wetnessUnknownHours: 1,
    });
  });

  test('a span that cuts the record counts its part of it: 45 min of 1 kPa', () => {
    const one = through([
      [0, 1],
      [4, 1],
    ]);
    expect(
      evaporativeDemand(one, NOTHING, { fromMs: 0.5 * HOUR_MS, toMs: 1.25 * HOUR_MS }).kpaHours,
    ).toBeCloseTo(0.75, 12);
  });
});
