import { expect, test } from 'vitest';
import { type Compared, meanDifferences } from '../../../../../server/domain/batches/mean-difference.ts';

const of = (airC: number | null, rootC: number | null, sensorErrorK: number): Compared => ({
  exposures: { air: { meanC: airC }, rootZone: { meanC: rootC } } as Compared['exposures'],
  sensorErrorK,
});

test.each([
  // √(0.3² + 0.3²) = 0.4243 K
  [21.3, 21, 0.3, 0.3, false],
  [21.42, 21, 0.3, 0.3, false],
  [21.43, 21, 0.3, 0.3, true],
  [21, 21.43, 0.3, 0.3, true],
  // √(0.3² + 0.4²) = 0.5 K
  [21.49, 21, 0.3, 0.4, false],
  [21.51, 21, 0.3, 0.4, true],
])('means of %f and %f °C by sensors good to %f and %f K: told apart is %s', (one, two, a, b, toldApart) => {
  const [air] = meanDifferences(of(one, null, a), of(two, null, b));
  expect(air).toMatchObject({ difference: one - two, sensorErrorK: Math.hypot(a, b), toldApart });
});

test('where one was not read there is no difference, and nothing is told apart', () => {
  expect(meanDifferences(of(null, 22, 0.3), of(21, 22, 0.3))).toMatchObject([
    { quantity: 'airTemperatureC', difference: null, toldApart: false },
    { quantity: 'rootZoneTemperatureC', difference: 0, toldApart: false },
  ]);
});
