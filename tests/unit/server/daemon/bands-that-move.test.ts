import { describe, expect, test } from 'vitest';
import type { Targets } from '../../../../shared/model/targets.ts';
import { clockByHand } from '../support/hand.ts';
import { packOf, type SentRecord, START_MS, startHouse, TARGET_SHEET_FILE } from '../support/house.ts';
import { ruledHouse } from '../support/ruled.ts';
import { TARGETS } from '../support/targets.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** 20:00 of the day that START_MS is in. */
const DUSK_MS = START_MS + 10 * HOUR_MS;

const SLOW: Targets = { ...TARGETS, rampMin: 90 };

/** A place with a root zone or air read every 10 min around dusk, asked a day later. */
async function evening(targets: Targets, valueAt: (minute: number) => number, quantity = 'air/temperature') {
  const house = startHouse({ hand: clockByHand(START_MS + 34 * HOUR_MS) });
  const records = Array.from({ length: 31 }, (_, k): SentRecord => {
    const minute = 10 * k - 120;
    return { n: quantity, u: 'Cel', v: valueAt(minute), t: DUSK_MS / 1_000 + minute * 60 };
  });
  await house.send(packOf(records, { arrivedAtMs: START_MS + 34 * HOUR_MS }));
  house.daemon.orders.setTargets('bench-1', { targets, fromMs: 0 });
  const span = (fromMinute: number, toMinute: number) => ({
    fromMs: DUSK_MS + fromMinute * MINUTE_MS,
    toMs: DUSK_MS + toMinute * MINUTE_MS,
  });
  return { ...house.daemon, span };
}

describe('air that cools from 24 °C at 20:00 by 10 K in 90 min, as its band does', () => {
  const cooling = (minute: number) => 24 - Math.min(90, Math.max(0, minute)) / 9;

  test('is in its band all evening where that takes 90 min; where it jumps, 1.35 h above and 6.075 °C·h', async () => {
    const moving = await evening(SLOW, cooling);
    expect(moving.queries.exposures('bench-1', moving.span(-60, 180)).air).toMatchObject({
      ...{ coveredHours: 4, hoursBelow: 0, hoursAbove: 0, degreeHoursAbove: 0 },
    });
    const jumping = await evening(TARGETS, cooling);
    // by hand: 24 to 15 at 6⅔ K an hour is 1.35 h; 9 K falling to nothing over that
    const { air } = jumping.queries.exposures('bench-1', jumping.span(-60, 180));
    expect(air.hoursAbove).toBeCloseTo(1.35, 9);
    expect(air.degreeHoursAbove).toBeCloseTo(6.075, 9);
  });

  test('the answer for two parts adds up, wherever the evening is cut', async () => {
    const { queries, span } = await evening(SLOW, (minute) => 22 - minute / 60);
    const air = (from: number, to: number) => queries.exposures('bench-1', span(from, to)).air;
    const whole = air(-60, 180);
    for (const cut of [-13, 7, 61, 90, 133]) {
      const [left, right] = [air(-60, cut), air(cut, 180)];
      expect(left.degreeHoursAbove + right.degreeHoursAbove).toBeCloseTo(whole.degreeHoursAbove, 12);
      expect(left.hoursAbove + right.hoursAbove).toBeCloseTo(whole.hoursAbove, 12);
    }
  });

  test('is drawn against bands that come from 20–25 to 10–15 between 20:00 and 21:30', async () => {
    const { queries, span } = await evening(SLOW, cooling);
    const [, moving, night] = queries.bands('bench-1', span(-60, 180));
    expect(moving).toMatchObject({
      ...{ from: '2026-06-01T20:00:00.000Z', to: '2026-06-01T21:30:00.000Z', night: true },
      ...{ air: { lowC: 20, highC: 25 }, end: { air: { lowC: 10, highC: 15 } } },
    });
    expect(night).toMatchObject({ night: true, air: { lowC: 10, highC: 15 } });
    expect(night).not.toHaveProperty('end');
    // asked from within, the band begins where it stands: two thirds of the way
    expect(queries.bands('bench-1', span(60, 70))).toMatchObject([
      { air: { lowC: expect.closeTo(40 / 3, 9), highC: expect.closeTo(55 / 3, 9) } },
    ]);
  });

  test('where the number comes from names how long bands move', async () => {
    const { queries, span } = await evening(SLOW, cooling);
    const asked = { of: 'exposures.air.hoursAbove', span: span(-60, 180), limits: null };
    const limits = queries
      .explain('bench-1', asked)
      .inputs.filter(({ name }) => name === 'Limit in force')
      .map(({ value }) => value);
    expect(limits).toEqual([
      'day 20 to 25 °C',
      'ceiling 27 °C',
      'night 10 to 15 °C',
      'moving for 90 min from each switch of day and night on',
    ]);
  });
});

test('at 20:45 air of 17 °C is within a band half way from 20–25 to 10–15, and above it where it jumps', async () => {
  for (const [targets, state] of [
    [SLOW, 'within'],
    [TARGETS, 'above'],
  ] as const) {
    const house = startHouse({ hand: clockByHand(DUSK_MS + 45 * MINUTE_MS) });
    await house.report([{ n: 'air/temperature', u: 'Cel', v: 17 }]);
    house.daemon.orders.setTargets('bench-1', { targets, fromMs: 0 });
    expect(house.daemon.queries.now('bench-1').quantities.airTemperatureC?.state).toBe(state);
  }
});

test('the sheet of the first contact takes 90 min; a place that has no such figure keeps bands that jump', () => {
  expect(TARGET_SHEET_FILE.targets.rampMin).toBe(90);
  expect(TARGETS.rampMin).toBeUndefined();
});

describe('the alarm of cold by night, where bands take 120 min from 21 to 13 °C', () => {
  test('follows the moving edge, live and on the past at one instant', async () => {
    const ruled = ruledHouse();
    const { house, hold, until, alarm } = ruled;
    await hold({ 'air/temperature': 22 }, MINUTE_MS);
    const base = house.daemon.queries.targets('bench-1');
    const air = { ...base.air, day: { lowC: 21, highC: 26 }, night: { lowC: 13, highC: 18 } };
    house.daemon.orders.setTargets('bench-1', { targets: { ...base, air, rampMin: 120 }, fromMs: null });
    await until(19);
    await hold({ 'air/temperature': 22 }, HOUR_MS);
    // from 20:00 on 2 K an hour slower than its band: 3 K below its edge at first, above it later
    for (let minute = 0; minute < 180; minute++)
      await hold({ 'air/temperature': 18 - minute / 60 }, MINUTE_MS);
    const live = alarm('air-below-band-at-night');
    const span = { fromMs: DUSK_MS - HOUR_MS, toMs: house.hand.clock.nowMs() };
    const past = house.daemon.queries.tryOnPast('bench-1', {
      rule: 'air-below-band-at-night',
      span,
      trial: {},
    });
    expect(past.alarms).toHaveLength(1);
    expect(live?.state).toBe('returned-unacknowledged');
    expect(Math.abs(Date.parse(past.alarms[0]?.raised ?? '') - (live?.raisedAtMs ?? 0))).toBeLessThanOrEqual(
      1_000,
    );
    expect(
      Math.abs(Date.parse(past.alarms[0]?.returned ?? '') - (live?.returnedAtMs ?? 0)),
    ).toBeLessThanOrEqual(1_000);
    // by hand: edge 21 − 4 h, air 18 − h: 3 K below at 20:00, level after 1 h: 1.5 °C·h, less the minute before 20:00
    expect(past.harm).toBeCloseTo(1.5, 2);
  });

  test('a trial of another limit holds it still', async () => {
    const house = startHouse();
    await house.report([{ n: 'air/temperature', u: 'Cel', v: 16 }]);
    const span = { fromMs: START_MS - HOUR_MS, toMs: START_MS + 12 * HOUR_MS };
    for (let minute = 0; minute < 13 * 60; minute += 5) {
      house.hand.pass(5 * MINUTE_MS);
      await house.report([{ n: 'air/temperature', u: 'Cel', v: 16 }]);
    }
    const tried = (limit: number) =>
      house.daemon.queries.tryOnPast('bench-1', { rule: 'air-below-band-at-night', span, trial: { limit } });
    expect(tried(15).alarms).toHaveLength(0);
    expect(tried(17).alarms).toHaveLength(1);
  });
});
