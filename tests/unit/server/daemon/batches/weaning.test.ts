import { expect, test } from 'vitest';
import { airVpdKpa } from '../../../../../shared/climate/humidity.ts';
import { clockByHand, comingRoundEvery } from '../../support/hand.ts';
import { START_MS, startHouse } from '../../support/house.ts';

const HOUR_MS = 3_600_000;
const at = (hours: number) => START_MS + hours * HOUR_MS;

/** Air of 24 °C at a humidity, read each 10 minutes from one hour to another. */
function air(relativeHumidityPct: number, from: number, to: number) {
  return Array.from({ length: (to - from) * 6 + 1 }, (_, k) => at(from) / 1_000 + 600 * k).flatMap((t) => [
    { n: 'air/temperature', u: 'Cel', v: 24, t },
    { n: 'air/humidity', u: '%RH', v: relativeHumidityPct, t },
  ]);
}

const order = {
  placeId: 'bench-1',
  crop: 'Coleus',
  sheetId: 'poinsettia',
  stuckMs: START_MS,
  count: 50,
  details: {},
};
const day = (lowKpa: number, highKpa: number) => ({ days: 1, lowKpa, highKpa });

test('two days of 85 and 70 %RH at 24 °C, moved between them: 0.448 and 0.895 kPa hold their steps, with the gap not known', async () => {
  // 24 °C, 85 %: 0.448 kPa is check value 18 of the facts
  expect(airVpdKpa({ airTemperatureC: 24, relativeHumidityPct: 85 })).toBeCloseTo(0.448, 3);
  const hand = comingRoundEvery(clockByHand(START_MS), HOUR_MS);
  const house = startHouse({ hand });
  hand.pass(49 * HOUR_MS);
  await house.report(air(85, 0, 20));
  await house.report(air(85, 20, 24), 'bench-2');
  await house.report(air(70, 24.5, 48), 'bench-2');
  const { batches } = house.daemon;
  const { id } = batches.add(order);
  batches.move(id, { placeId: 'bench-2', fromMs: at(20) });
  batches.setWeaning(id, { fromMs: at(0), gateShare: 0.8, steps: [day(0.3, 0.6), day(0.8, 1.2)] });
  expect(batches.weaning(id)).toMatchObject({
    verdict: 'no-tug-test',
    steps: [
      { hours: 24, hoursWithin: expect.closeTo(24, 9), hoursUnknown: expect.closeTo(0, 9), held: 'held' },
      { hours: 24, hoursWithin: expect.closeTo(23.5, 9), hoursUnknown: expect.closeTo(0.5, 9), held: 'held' },
    ],
  });
  batches.addCount(id, { atMs: at(48), count: { looked: 20, rooted: 17 } });
  expect(batches.weaning(id).verdict).toBe('weaned');
  batches.setWeaning(id, { fromMs: at(0), gateShare: 0.8, steps: [day(0.3, 0.6), day(0.3, 0.6)] });
  expect(batches.weaning(id)).toMatchObject({
    verdict: 'not-held',
    steps: [{ held: 'held' }, { hoursAbove: expect.closeTo(23.5, 9), held: 'not-held' }],
  });
  expect(batches.setWeaning(id, null).plan).toBeNull();
  house.daemon.stop();
});

test('where the record is archived nothing is judged, nor called weaned', async () => {
  const hand = comingRoundEvery(clockByHand(START_MS), HOUR_MS);
  const house = startHouse({ hand });
  hand.pass(49 * HOUR_MS);
  await house.report(air(85, 0, 24));
  await house.report(air(85, 24, 48));
  const { batches, archive } = house.daemon;
  const { id } = batches.add(order);
  batches.addCount(id, { atMs: at(48), count: { looked: 20, rooted: 20 } });
  batches.setWeaning(id, { fromMs: at(0), gateShare: 0.8, steps: [day(0.3, 0.6)] });
  expect(batches.weaning(id).verdict).toBe('weaned');
  archive.archive({ kind: 'place', placeId: 'bench-1' }, { by: null });
  expect(batches.weaning(id)).toMatchObject({
    verdict: 'cannot-be-judged',
    steps: [{ hoursUnknown: 24, held: 'cannot-be-judged' }],
  });
  house.daemon.stop();
});

test('a plan that begins before sticking, or more than a year ahead, is refused', async () => {
  const house = startHouse();
  await house.report(air(85, 0, 0));
  const { batches } = house.daemon;
  const { id } = batches.add(order);
  const plan = { gateShare: 0.8, steps: [day(0.3, 0.6)] };
  expect(() => batches.setWeaning(id, { ...plan, fromMs: at(-1) })).toThrow('before the batch was stuck');
  expect(() => batches.setWeaning(id, { ...plan, fromMs: at(24 * 370) })).toThrow('within a year');
  house.daemon.stop();
});
