import { describe, expect, test } from 'vitest';
import type { AlarmFacts } from '../../../../../shared/model/alarms/alarm.ts';
import { LIMIT_RULE_DEFINITIONS } from '../../../../../shared/rules/rules.ts';
import { ruledHouse, type Values } from '../../support/ruled.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

type Ruled = ReturnType<typeof ruledHouse>;

describe('a batch stuck today under mist every 10 min', () => {
  /** Dry air of 1.2 kPa in light of 20 µmol: 72 / (1 + 2·20/275) = 62.9 min, at the shortest 62.9 / 1.5 / (1 + 0.6·20/275) = 40.2. */
  const DRY: Values = { 'air/temperature': 22, 'air/humidity': 54.6, 'light/ppfd': 20 };
  const HALF_MIN = 20.1;

  const shut = async (ruled: Ruled, minutes: number) => {
    for (let minute = 0; minute < minutes; minute++) {
      await ruled.house.report([{ n: 'mist/valve', vb: false }]);
      await ruled.hold(DRY, MINUTE_MS);
    }
  };
  const wanting = async (mistEveryMin: number, crop: string | null, ageDays = 0) => {
    const ruled = ruledHouse();
    await ruled.hold(DRY, MINUTE_MS);
    const settings = { mistEveryMin, leafOffsetK: 0 };
    ruled.house.daemon.orders.patchPlace('bench-1', { settings });
    for (let pulse = 0; pulse < 3; pulse++) {
      await ruled.house.report([{ n: 'mist/valve', vb: true }]);
      ruled.house.hand.pass(5_000);
      await shut(ruled, 10);
    }
    await ruled.house.report([{ n: 'mist/valve', vb: true }]);
    ruled.answered();
    if (crop !== null) {
      const stuckMs = ruled.house.hand.clock.nowMs() - ageDays * 24 * HOUR_MS;
      ruled.house.daemon.batches.add({
        placeId: 'bench-1',
        crop,
        sheetId: 'poinsettia',
        stuckMs,
        count: 100,
        details: {},
      });
      // the sheet of the batch would set other limits
      ruled.house.daemon.batches.setLeading('bench-1', { batchId: null, fromMs: stuckMs });
    }
    return ruled;
  };
  const raisedOf = (ruled: Ruled) => {
    const live = ruled.alarm('no-mist-in-light');
    const { queries } = ruled.house.daemon;
    const span = { fromMs: queries.recordStartMs('bench-1') ?? 0, toMs: ruled.house.hand.clock.nowMs() };
    const { alarms } = queries.tryOnPast('bench-1', { rule: 'no-mist-in-light', span, trial: {} });
    expect(alarms.map(({ raised }) => Date.parse(raised))).toEqual(live?.raisedAtMs ? [live.raisedAtMs] : []);
    return live;
  };

  test('is called about after half of its shortest 40 min where mist comes every 10, live as in a trial, and the alarm says why', async () => {
    const ruled = await wanting(10, 'Poinsettia');
    await shut(ruled, 28);
    const live = raisedOf(ruled);
    expect(live?.state).toBe('unacknowledged');
    expect(live?.facts).toMatchObject({ kind: 'past-limit', limit: expect.closeTo(HALF_MIN, 0) });
    const { detail } = LIMIT_RULE_DEFINITIONS['no-mist-in-light'].words({
      placeName: 'Bench 1',
      facts: live?.facts as AlarmFacts,
      isOver: false,
      raisedAtMs: null,
      returnedAtMs: null,
      reader: { unit: 'C', timeZone: 'UTC', nowMs: ruled.house.hand.clock.nowMs() },
      ruleName: (rule) => rule,
    }) ?? { detail: '' };
    expect(detail.replaceAll('\u00a0', ' ')).toMatch(
      /^Limit 20 min \(half the time: Poinsettia, stuck within the last 24 h, may wilt after 40 min without mist in this air and light\)/,
    );
  });

  test('is called about after 30 min without a batch, and past day 6', async () => {
    for (const [crop, ageDays] of [
      [null, 0],
      ['Poinsettia', 7],
    ] as const) {
      const ruled = await wanting(10, crop, ageDays);
      await shut(ruled, 27);
      expect(raisedOf(ruled)).toBeUndefined();
      await shut(ruled, 10);
      expect(raisedOf(ruled)?.facts).toMatchObject({ limit: 30 });
      expect(raisedOf(ruled)?.facts).not.toHaveProperty('unmisted');
    }
  });

  test('of another crop stands 20 min at the shortest: two intervals of 10 min are waited for all the same', async () => {
    const ruled = await wanting(10, 'Lantana');
    await shut(ruled, 28);
    expect(raisedOf(ruled)?.facts).toMatchObject({ limit: 20, unmisted: { crop: 'Lantana' } });
  });

  test('the night tells of the same instant', async () => {
    const ruled = await wanting(10, 'Poinsettia');
    const lastMs = ruled.house.hand.clock.nowMs();
    await shut(ruled, 40);
    const night = ruled.house.daemon.queries.night(null);
    const dry = night.places[0]?.excursions.filter(({ kind }) => kind === 'no-mist') ?? [];
    expect(dry).toHaveLength(1);
    expect((Date.parse(dry[0]?.from ?? '') - lastMs) / MINUTE_MS).toBeLessThan(HALF_MIN + 2);
  });
});
