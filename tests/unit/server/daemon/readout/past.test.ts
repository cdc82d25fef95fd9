import { expect, test } from 'vitest';
import type { LimitRule } from '../../../../../shared/rules/rules.ts';
import { GOOD, ruledHouse } from '../../support/ruled.ts';

/**
 * What was raised live, through the real daemon on a real database, must be raised when the same record is tried with
 * the same limits. Rules that are evaluated every five minutes are evaluated at other minutes in hindsight: five minutes
 * are their tolerance, one second that of rules that are judged by their readings.
 */
const SECOND_MS = 1_000;
const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const SAMPLE_EVERY_MS = 5 * MINUTE_MS;

type Ruled = ReturnType<typeof ruledHouse>;

/** Raised live, and raised when tried on the record from its start until now. */
function both({ house, alarm }: Ruled, rule: LimitRule, limit?: number) {
  const fromMs = house.daemon.queries.recordStartMs('bench-1') ?? 0;
  const span = { fromMs, toMs: house.hand.clock.nowMs() };
  const trial = limit === undefined ? {} : { limit };
  const past = house.daemon.queries.tryOnPast('bench-1', { rule, span, trial });
  return { live: alarm(rule)?.raisedAtMs ?? null, past };
}

function expectBoth(ruled: Ruled, rule: LimitRule, withinMs: number) {
  const { live, past } = both(ruled, rule);
  expect(live).not.toBeNull();
  expect(past.alarms).toHaveLength(1);
  expect(Math.abs(Date.parse(past.alarms[0]?.raised ?? '') - (live ?? 0))).toBeLessThanOrEqual(withinMs);
  return past;
}

test('a root zone that falls 1.5 K an hour towards its air is asked for at the same second live and in the past, and not at all with a limit of 2 K an hour', async () => {
  const ruled = ruledHouse();
  await ruled.hold({ 'air/temperature': 16, 'root/temperature': 22 }, HOUR_MS);
  for (let minute = 0; minute < 150; minute++)
    await ruled.hold({ 'air/temperature': 16, 'root/temperature': 22 - (1.5 * minute) / 60 }, MINUTE_MS);
  const past = expectBoth(ruled, 'root-falling-towards-air', SECOND_MS);
  expect(past).toMatchObject({ unit: 'K/h', harmIn: 'unit-hours' });
  expect(both(ruled, 'root-falling-towards-air', 2).past.alarms).toEqual([]);
});

test('mist every 10 min that stops in light is missed at the same look live and in the past; with a delay of 60 min it is not', async () => {
  const ruled = ruledHouse();
  const { house, hold } = ruled;
  const valve = async (on: boolean) => house.report([{ n: 'mist/valve', vb: on }]);
  for (let pulse = 0; pulse < 12; pulse++) {
    await valve(true);
    house.hand.pass(5_000);
    await valve(false);
    await hold({ ...GOOD, 'light/ppfd': 100 }, 10 * MINUTE_MS);
  }
  for (let k = 0; k < 40; k++) {
    await valve(false);
    await hold({ ...GOOD, 'light/ppfd': 100 }, MINUTE_MS);
  }
  const past = expectBoth(ruled, 'no-mist-in-light', SAMPLE_EVERY_MS);
  expect(past).toMatchObject({ unit: 'min', harmIn: 'hours' });
  // by hand: dry for 50 min by the end, 30 of them within the limit of three intervals; looks are 5 min apart
  expect(past.harm).toBeGreaterThan(10 / 60);
  expect(past.harm).toBeLessThan(25 / 60);
  expect(both(ruled, 'no-mist-in-light', 60).past.alarms).toEqual([]);
});

test('a vent written down as open and never as shut is asked for after 2 h live and in the past, after 1 h where 1 h is tried', async () => {
  const ruled = ruledHouse();
  const { house, hold } = ruled;
  await hold(GOOD, 10 * MINUTE_MS);
  const fromMs = house.hand.clock.nowMs();
  house.daemon.orders.logVent('bench-1', { fromMs, toMs: null, note: null });
  await hold(GOOD, 3 * HOUR_MS);
  expectBoth(ruled, 'vent-left-open', SAMPLE_EVERY_MS);
  const { past } = both(ruled, 'vent-left-open', 1);
  const afterMs = Date.parse(past.alarms[0]?.raised ?? '') - fromMs;
  expect(afterMs).toBeGreaterThan(HOUR_MS);
  expect(afterMs).toBeLessThanOrEqual(HOUR_MS + SAMPLE_EVERY_MS);
});

test('air saturated for 3 h is announced where the sheet says 3 h live and in the past; a limit of 2 h can be tried though no sheet had one', async () => {
  const ruled = ruledHouse();
  const { house, hold } = ruled;
  await hold(GOOD, MINUTE_MS);
  const targets = house.daemon.queries.targets('bench-1');
  house.daemon.orders.setTargets('bench-1', {
    targets: { ...targets, alarms: { saturatedHours: 3 } },
    fromMs: null,
  });
  await hold({ ...GOOD, 'air/humidity': 99.5 }, 4 * HOUR_MS);
  expectBoth(ruled, 'saturated-too-long', SAMPLE_EVERY_MS);
  house.daemon.orders.setTargets('bench-1', { targets, fromMs: 0 });
  expect(both(ruled, 'saturated-too-long').past.alarms).toEqual([]);
  expect(both(ruled, 'saturated-too-long', 2).past.alarms).toHaveLength(1);
});

test('saturated air is counted by the humidity that held at its time, live and in the past, whatever is set afterwards', async () => {
  const ruled = ruledHouse();
  const { house, hold } = ruled;
  await hold(GOOD, MINUTE_MS);
  const targets = {
    ...house.daemon.queries.targets('bench-1'),
    saturation: { relativeHumidityPct: 97 },
    alarms: { saturatedHours: 3 },
  };
  house.daemon.orders.setTargets('bench-1', { targets, fromMs: null });
  await hold({ ...GOOD, 'air/humidity': 98 }, 4 * HOUR_MS);
  const raisedMs = ruled.alarm('saturated-too-long')?.raisedAtMs;
  const later = { ...targets, saturation: { relativeHumidityPct: 99 } };
  house.daemon.orders.setTargets('bench-1', { targets: later, fromMs: null });
  await hold({ ...GOOD, 'air/humidity': 98 }, 30 * MINUTE_MS);
  // nobody has vented, and the air is as damp as before
  expect(ruled.alarm('saturated-too-long')).toMatchObject({ state: 'unacknowledged', raisedAtMs: raisedMs });
  expectBoth(ruled, 'saturated-too-long', SAMPLE_EVERY_MS);
});

test('air 2 K warmer than its root zone is notified after 4 h in the past, as live where the rule is on', async () => {
  const ruled = ruledHouse();
  const { house, hold } = ruled;
  await hold(GOOD, MINUTE_MS);
  house.daemon.orders.patchPlace('bench-1', {
    settings: { alarms: { 'air-warmer-than-root': { on: true } } },
  });
  await hold({ 'air/temperature': 24, 'root/temperature': 22 }, 5 * HOUR_MS);
  expectBoth(ruled, 'air-warmer-than-root', SECOND_MS);
});

test('a reading that comes late into what was tried a moment ago is counted the next time', async () => {
  const ruled = ruledHouse();
  const { house, hold } = ruled;
  await hold(GOOD, 2 * HOUR_MS);
  const span = { fromMs: house.hand.clock.nowMs() - 2 * HOUR_MS, toMs: house.hand.clock.nowMs() };
  const tried = () =>
    house.daemon.queries.tryOnPast('bench-1', { rule: 'air-far-over-ceiling', span, trial: {} }).alarms
      .length;
  expect(tried()).toBe(0);
  await house.report([{ n: 'air/temperature', u: 'Cel', v: 40, t: -3_630 }]);
  expect(tried()).toBe(1);
});
