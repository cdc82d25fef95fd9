import { describe, expect, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import { clockByHand } from '../support/hand.ts';
import { databaseFile, type House, packOf, START_MS, startHouse } from '../support/house.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

type Report = { readonly n: string; readonly u: string; readonly v: number };

/** Lets minutes pass, with all of it read every minute. */
async function reportFor(house: House, minutes: number, records: readonly Report[]): Promise<void> {
  for (let minute = 0; minute < minutes; minute++) {
    house.hand.pass(MINUTE_MS);
    await house.report(records);
  }
}

/** Readings every 5 min over the last hours, that arrive at once. */
async function reportLate(house: House, hours: number, records: readonly Report[]): Promise<void> {
  const nowMs = house.hand.clock.nowMs();
  const pack = Array.from({ length: hours * 12 + 1 }, (_, i) => i).flatMap((i) =>
    records.map((record) => ({ ...record, t: (nowMs - hours * HOUR_MS + i * 5 * MINUTE_MS) / 1_000 })),
  );
  await house.send(packOf(pack, { arrivedAtMs: nowMs }));
}

function idOf({ daemon }: House, name: string): number {
  const id = daemon.world.probeNamed({ device: 'bench-1', name })?.id;
  if (id === undefined) throw new Error(`no probe ${name}`);
  return id;
}

const root = (v: number): Report => ({ n: 'root/temperature', u: 'Cel', v });
const air = (v: number): Report => ({ n: 'air/temperature', u: 'Cel', v });
const humid = (v: number): Report => ({ n: 'air/humidity', u: '%RH', v });

describe('an ice point check', () => {
  test('of a probe that reports 1.2 °C in ice ends off by −1.2 K, and the next is due in 182 days', async () => {
    const house = startHouse();
    const { checks } = house.daemon;
    await house.report([root(21)]);
    const probeId = idOf(house, 'root/temperature');
    const { id } = checks.start({ probeId, kind: 'ice', by: 'Ada' });
    expect(() => checks.take(id)).toThrow('begin the step first');
    checks.begin(id, { sinceMs: null, untilMs: null });
    await reportFor(house, 10, [root(1.2)]);
    expect(checks.check(id).steadiness).toMatchObject({ steady: false, newest: 1.2, reference: 0 });
    expect(() => checks.take(id)).toThrow('not come to rest yet: in-place');
    await reportFor(house, 11, [root(1.2)]);
    const done = checks.take(id);
    // the sheet's place takes sensors to be right to 0.5 K or better: 1.2 K is off either way
    expect(done).toMatchObject({
      at: null,
      by: 'Ada',
      result: { verdict: 'off', proposal: { gain: 1, offset: -1.2 } },
    });
    const endedMs = house.hand.clock.nowMs();
    expect(done.ended).toBe(new Date(endedMs).toISOString());
    const [truth] = checks.answer().probes;
    expect(truth?.due).toBe(new Date(endedMs + 182 * DAY_MS).toISOString());
    expect(() => checks.take(id)).toThrow('is over');
    const order = { gain: 1, offset: -1.2, fromMs: null, reason: 'ice point', checkId: id, by: 'Ada' };
    expect(checks.correct(probeId, order)).toMatchObject({ checkId: id, by: 'Ada' });
    await reportFor(house, 1, [root(1.2)]);
    expect(checks.answer().probes[0]?.told).toMatchObject({ value: 1.2, corrected: 0 });
  });

  test('of a span of the past needs no waiting: 25 min of readings that came at once are accepted at once', async () => {
    const house = startHouse();
    const { checks } = house.daemon;
    const nowMs = house.hand.clock.nowMs();
    const pack = Array.from({ length: 26 }, (_, i) => ({ ...root(0.1), t: nowMs / 1_000 - (25 - i) * 60 }));
    await house.send(packOf(pack, { arrivedAtMs: nowMs }));
    const { id } = checks.start({ probeId: idOf(house, 'root/temperature'), kind: 'ice' });
    checks.begin(id, { sinceMs: nowMs - 25 * MINUTE_MS, untilMs: null });
    expect(checks.take(id).result).toEqual({ verdict: 'within', proposal: null });
  });

  test('is one a probe, can be given up, and stays as far as it was after a restart', async () => {
    const file = databaseFile();
    const hand = clockByHand(START_MS);
    const open = () => startHouse({ hand, store: openStore({ file, nowMs: 0 }) });
    const before = open();
    await before.report([root(0)]);
    const probeId = idOf(before, 'root/temperature');
    const { id } = before.daemon.checks.start({ probeId, kind: 'ice' });
    before.daemon.checks.begin(id, { sinceMs: null, untilMs: null });
    expect(() => before.daemon.checks.start({ probeId, kind: 'ice' })).toThrow('is under way');
    before.daemon.stop();
    before.store.close();
    const after = open();
    const [check] = after.daemon.checks.answer().open;
    expect(check).toMatchObject({ id, at: 0, steps: [{ sinceMs: START_MS }] });
    after.daemon.checks.abandon(id);
    expect(after.daemon.checks.answer().open).toEqual([]);
    expect(() => after.daemon.checks.abandon(id + 1)).toThrow(`no check ${id + 1}`);
    expect(after.daemon.checks.start({ probeId, kind: 'ice' }).at).toBe(0);
  });
});

describe('a check over two salts', () => {
  test('at 20 °C of a probe that reports 38 and 71 %RH proposes a line that maps them to 33.07 and 75.48', async () => {
    const house = startHouse();
    const { checks } = house.daemon;
    await house.report([air(20), humid(60)]);
    const [probeId, temperatureProbeId] = [idOf(house, 'air/humidity'), idOf(house, 'air/temperature')];
    expect(() => checks.start({ probeId, kind: 'salts' })).toThrow('hangs on its temperature');
    const { id } = checks.start({ probeId, kind: 'salts', temperatureProbeId });
    for (const value of [38, 71]) {
      checks.begin(id, { sinceMs: null, untilMs: null });
      house.hand.pass(6 * HOUR_MS);
      await reportLate(house, 5, [air(20), humid(value)]);
      expect(checks.check(id).steadiness).toMatchObject({ steady: true, mean: value, temperatureC: 20 });
      checks.take(id);
    }
    const { steps, result } = checks.check(id);
    // [GREENSPAN77] table 2 at 20 °C: 33.07 and 75.47 %RH, cut off at 0.01
    expect(steps.map(({ taken }) => taken?.reference.toFixed(1))).toEqual(['33.1', '75.5']);
    const { gain, offset } = result?.proposal ?? { gain: 0, offset: 0 };
    // the gain is stated to 0.0001 and the offset to 0.01: together 0.015 %RH at 71
    expect(gain * 38 + offset).toBeCloseTo(33.07, 1);
    expect(gain * 71 + offset).toBeCloseTo(75.48, 1);
  });

  test('without a temperature probe takes what somebody read, 23 °C, and beyond 50 °C has no value', async () => {
    const house = startHouse();
    const { checks } = house.daemon;
    await house.report([humid(60)]);
    const probeId = idOf(house, 'air/humidity');
    const { id } = checks.start({ probeId, kind: 'salts', salts: ['sodium chloride'], temperatureC: 23 });
    checks.begin(id, { sinceMs: null, untilMs: null });
    house.hand.pass(5 * HOUR_MS);
    await reportLate(house, 5, [humid(75)]);
    expect(checks.take(id).result?.verdict).toBe('within');
  });
});

describe('a check beside another probe', () => {
  test('over an hour of the past finds 2 K, to be taken off', async () => {
    const house = startHouse();
    const { checks } = house.daemon;
    house.hand.pass(3 * HOUR_MS);
    await reportLate(house, 2, [air(22), { n: 'air/temperature/2', u: 'Cel', v: 20 }]);
    const [probeId, besideProbeId] = [idOf(house, 'air/temperature'), idOf(house, 'air/temperature/2')];
    const untilMs = house.hand.clock.nowMs() - 30 * MINUTE_MS;
    const { id } = checks.start({ probeId, kind: 'beside', besideProbeId });
    expect(() => checks.begin(id, { sinceMs: untilMs, untilMs })).toThrow('must come after');
    checks.begin(id, { sinceMs: untilMs - 70 * MINUTE_MS, untilMs });
    expect(checks.take(id).result).toEqual({ verdict: 'off', proposal: { gain: 1, offset: -2 } });
  });

  test('that measures something else, or itself, is refused', async () => {
    const house = startHouse();
    await house.report([air(20), humid(60)]);
    const [probeId, other] = [idOf(house, 'air/temperature'), idOf(house, 'air/humidity')];
    for (const besideProbeId of [other, probeId, 99])
      expect(() => house.daemon.checks.start({ probeId, kind: 'beside', besideProbeId })).toThrow(
        'another probe that measures the same',
      );
    expect(() => house.daemon.checks.start({ probeId: other, kind: 'ice' })).toThrow('cannot be checked so');
  });
});

test('the date of the next check can be set and taken away', async () => {
  const house = startHouse();
  await house.report([air(20)]);
  const probeId = idOf(house, 'air/temperature');
  const due = () => house.daemon.checks.answer().probes[0]?.due;
  expect(due()).toBeNull();
  house.daemon.checks.setDue(probeId, START_MS + DAY_MS);
  expect(due()).toBe('2026-06-02T10:00:00.000Z');
  house.daemon.checks.setDue(probeId, null);
  expect(due()).toBeNull();
  expect(() => house.daemon.checks.setDue(99, null)).toThrow('no probe 99');
});
