import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Targets } from '../../../../../shared/model/targets.ts';
import { clockByHand, comingRoundEvery } from '../../support/hand.ts';
import { startHouse } from '../../support/house.ts';
import { recordsOf, type Values } from '../../support/ruled.ts';

/**
 * What the night and its excursions answer, held to the exposures of the same span: both are counted from the same
 * readings by different code.
 */
const MINUTE_MS = 60_000;
/** Evening before the night that is asked about; zone of the house: UTC. */
const EVENING_MS = Date.UTC(2026, 5, 1, 19);
const PLACE = 'bench-1';

function watchedHouse() {
  const hand = comingRoundEvery(clockByHand(EVENING_MS), MINUTE_MS);
  const house = startHouse({ hand });
  /** told every so many minutes, in the middle of straight lines from one value to the next */
  const course = async (values: readonly (Values | null)[], everyMin = 10) => {
    for (const one of values) {
      if (one !== null) await house.report(recordsOf(one));
      hand.pass(everyMin * MINUTE_MS);
    }
  };
  const { queries } = house.daemon;
  const span = (fromMs: number, toMs: number) => ({ fromMs, toMs });
  return { house, hand, course, queries, span };
}

const held = (values: Values, times: number) => Array.from({ length: times }, () => values);
const AIR = 'air/temperature';
const NIGHT: Values = { [AIR]: 16, 'air/humidity': 90, 'root/temperature': 23 };

describe('the night', () => {
  test('of a place that was within its bands says so only of what was seen', async () => {
    const { course, queries } = watchedHouse();
    // an hour of evening, then as cool as the band of the night while it comes down within 90 min
    const evening = [0, 0, 0, 0, 0, 0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9].map((i) => ({
      ...NIGHT,
      [AIR]: 22 - (6 * i) / 9,
    }));
    await course([...evening, ...held(NIGHT, 40)]);
    const night = queries.night(null);
    expect(night).toMatchObject({ date: '2026-06-02', from: '2026-06-01T20:00:00.000Z' });
    expect(night.places).toHaveLength(1);
    const [row] = night.places;
    expect(row?.coverage).toBeCloseTo(1, 1);
    expect(row).toMatchObject({
      excursions: [],
      sentence: 'Within its bands throughout.',
      harm: 0,
      state: 'ok',
    });
  });

  test('with a root zone that cooled from two on says how far and how long, and how long nothing was read', async () => {
    const { course, queries } = watchedHouse();
    await course(held(NIGHT, 42));
    await course(held({ ...NIGHT, 'root/temperature': 18.6 }, 12));
    await course(Array<null>(12).fill(null));
    const [row] = queries.night(null).places;
    expect(row?.sentence).toMatch(
      /^Root zone was 2\.5 °C below its band for 1 h 55 min from 01:54\. Air was .*\. Not known for 2 h 10 min: there were no readings\.$/,
    );
    const kinds = row?.excursions.map(({ kind }) => kind);
    expect(kinds).toContain('root-zone-below-band');
    expect(row?.excursions.at(-1)).toMatchObject({ kind: 'no-data', to: null, peak: null, harm: null });
    expect(row?.coverage).toBeLessThan(0.85);
    expect(row?.state).not.toBe('ok');
  });

  test('names the alarm that was raised about an excursion, and who acknowledged it', async () => {
    const { course, house, queries, hand, span } = watchedHouse();
    await course(held(NIGHT, 12));
    await course(held({ ...NIGHT, [AIR]: 31 }, 3));
    house.daemon.orders.acknowledge('bench-1.air-over-ceiling', { by: 'Robin' });
    await course(held(NIGHT, 3));
    const found = queries.excursions(PLACE, span(EVENING_MS, hand.clock.nowMs()));
    const hot = found.find(({ kind }) => kind === 'air-over-ceiling');
    expect(hot).toMatchObject({
      peak: 31,
      limit: 26.7,
      unit: '°C',
      doseUnit: 'K·h',
      alarmId: 'bench-1.air-over-ceiling',
      acknowledgedBy: 'Robin',
    });
    // 16 to 31 and back in 10 min each with 20 min at 31: over 26.7 for 20 min + 2 · 10 · 4.3 / 15
    expect(hot?.overLimitHours).toBeCloseTo((20 + (20 * 4.3) / 15) / 60, 6);
    expect(hot?.dose).toBeCloseTo((20 * 4.3 + (10 * 4.3 * 4.3) / 15) / 60, 6);
  });

  test('that begins after midnight and is still to come: the one before it is told', async () => {
    const { course, queries, house } = watchedHouse();
    await course(held(NIGHT, 6));
    const { targets } = queries.places()[0] as { targets: Targets };
    house.daemon.orders.setTargets(PLACE, { targets: { ...targets, nightStart: '02:00' }, fromMs: null });
    await course(held(NIGHT, 6 * 5));
    const night = queries.night(null);
    expect(night).toMatchObject({ date: '2026-06-02', from: '2026-06-01T02:00:00.000Z' });
    expect(night.places[0]?.sentence).not.toContain('Nothing was read');
  });

  test('that begins after midnight begins at its own hour on a day of 23 hours too', async () => {
    // the clocks of Berlin go from 02:00 to 03:00 on 29 March 2026
    const hand = comingRoundEvery(clockByHand(Date.UTC(2026, 2, 29, 22, 10)), MINUTE_MS);
    const house = startHouse({ hand, timeZone: 'Europe/Berlin' });
    await house.report(recordsOf(NIGHT));
    const { targets } = house.daemon.queries.places()[0] as { targets: Targets };
    const late = { ...targets, nightStart: '01:00' };
    house.daemon.orders.setTargets(PLACE, { targets: late, fromMs: null });
    // 00:10 on 30 March: the night before began at 01:00 on 29 March, 23 h and 10 min ago
    expect(house.daemon.queries.night(null)).toMatchObject({
      date: '2026-03-30',
      from: '2026-03-29T00:00:00.000Z',
    });
  });

  test('of an earlier date ends where its day begins, and of one to come is refused', async () => {
    const { course, queries } = watchedHouse();
    await course(held(NIGHT, 6 * 30));
    const night = queries.night('2026-06-02');
    expect(night).toMatchObject({ from: '2026-06-01T20:00:00.000Z', to: '2026-06-02T06:00:00.000Z' });
    expect(() => queries.night('2026-06-04')).toThrow(/"date" must be the date of a morning up to today's/);
    expect(queries.night('2025-01-01').places[0]).toMatchObject({
      coverage: 0,
      state: 'watch',
      sentence: 'Nothing was read: how it did is not known.',
    });
  });
});

test('excursions add up to the exposures of their span, whatever the air and the root zone do', async () => {
  const step = fc.record({ air: fc.integer({ min: 4, max: 36 }), root: fc.integer({ min: 8, max: 38 }) });
  await fc.assert(
    fc.asyncProperty(fc.array(fc.option(step), { minLength: 3, maxLength: 40 }), async (steps) => {
      const { course, queries, hand, house, span } = watchedHouse();
      await course(
        steps.map((one) => one && { [AIR]: one.air, 'air/humidity': 80, 'root/temperature': one.root }),
      );
      if (steps.every((one) => one === null)) return house.daemon.stop();
      const whole = span(EVENING_MS, hand.clock.nowMs());
      const { air, rootZone, vpd } = queries.exposures(PLACE, whole);
      const found = queries.excursions(PLACE, whole);
      const sum = (kinds: readonly string[], of: 'overLimitHours' | 'dose') =>
        found.reduce((total, one) => (kinds.includes(one.kind) ? total + (one[of] ?? 0) : total), 0);
      expect(sum(['air-over-ceiling'], 'overLimitHours')).toBeCloseTo(air.hoursOverCeiling, 9);
      expect(sum(['air-over-ceiling'], 'dose')).toBeCloseTo(air.degreeHoursOverCeiling, 9);
      expect(sum(['air-over-ceiling', 'air-above-band'], 'overLimitHours')).toBeCloseTo(air.hoursAbove, 9);
      expect(sum(['air-below-band', 'air-far-too-cold'], 'overLimitHours')).toBeCloseTo(air.hoursBelow, 9);
      expect(sum(['root-zone-below-band'], 'dose')).toBeCloseTo(rootZone.degreeHoursBelow, 9);
      expect(sum(['root-zone-above-band', 'root-zone-over-ceiling'], 'overLimitHours')).toBeCloseTo(
        rootZone.hoursAbove,
        9,
      );
      expect(sum(['vpd-above-band'], 'overLimitHours')).toBeCloseTo(vpd.hoursAbove, 9);
      expect(sum(['vpd-above-band'], 'dose')).toBeCloseTo(vpd.kpaHoursAbove, 9);
      house.daemon.stop();
    }),
    { numRuns: 15 },
  );
});
