import { expect, test } from 'vitest';
import { SERIES_QUANTITIES, type SeriesQuantityName } from '../../../../shared/quantities.ts';
import { START_MS, startHouse } from '../support/house.ts';

const NAMES = Object.keys(SERIES_QUANTITIES) as SeriesQuantityName[];

// within what a probe may send; at 120 °C and 90 %RH the vapour alone, 179 kPa, would press harder than the air;
// beyond −55…125 °C no common chip reads, so that nothing is covered
test.each([
  [120, 90, 1],
  [100, 100, 1],
  [125, 105, 1],
  [-55, 0, 1],
  [150, 105, 0],
  [150, 0, 0],
  [-150, 105, 0],
  [-150, 0, 0],
])(
  'a pack of %d °C and %d %RH is accepted, %d min of it covered, and every question about the place answered',
  async (airC, rh, coveredMin) => {
    const house = startHouse();
    const pack = (ageS: number) => [
      { n: 'air/temperature', u: 'Cel', v: airC, t: -ageS },
      { n: 'air/humidity', u: '%RH', v: rh, t: -ageS },
    ];
    await house.report([...pack(120), ...pack(60)]);
    const { queries, orders } = house.daemon;
    const span = { fromMs: START_MS - 120_000, toMs: START_MS };
    for (const settings of [
      {},
      { altitudeM: 6_000, leafOffsetK: 15 },
      { altitudeM: -430, leafOffsetK: -10 },
    ]) {
      orders.patchPlace('bench-1', { settings });
      const { quantities } = queries.now('bench-1');
      expect(quantities).toMatchObject({ airTemperatureC: { value: airC }, airVpdKpa: { unit: 'kPa' } });
      for (const name of NAMES) {
        const { points } = queries.series('bench-1', { ...span, quantity: name, points: null });
        for (const { value } of points) expect(value ?? 0).toSatisfy(Number.isFinite);
        expect(queries.explain('bench-1', { of: `now.${name}`, span: null }).value).toBe(
          quantities[name]?.value ?? null,
        );
      }
      expect(queries.exposures('bench-1', span).vpd.coveredHours).toBeCloseTo(coveredMin / 60, 9);
      expect(queries.mist('bench-1', span).coveredHours).toBeLessThanOrEqual(1 / 30);
      expect(queries.vents('bench-1', span).vents).toEqual([]);
    }
  },
);
