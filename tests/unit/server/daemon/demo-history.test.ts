import { describe, expect, test } from 'vitest';
import { enterDemoBatches } from '../../../../server/daemon/demo/batches.ts';
import { historyOf } from '../../../../server/daemon/demo/history.ts';
import { DEMO_BATCHES } from '../../../../server/domain/demo/scenario.ts';
import type { Place } from '../../../../shared/model/place.ts';
import { airRecord, START_MS, startHouse } from '../support/house.ts';
import { GOOD, ruledHouse } from '../support/ruled.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;

/** A bench in band, 40 min over its ceiling, back, and over it again. */
async function hotTwice() {
  const ruled = ruledHouse();
  const { house, hold } = ruled;
  await hold(GOOD, 30 * MINUTE_MS);
  const fromMs = house.daemon.queries.recordStartMs('bench-1') ?? 0;
  await hold({ ...GOOD, 'air/temperature': 30 }, 40 * MINUTE_MS);
  await hold(GOOD, 30 * MINUTE_MS);
  await hold({ ...GOOD, 'air/temperature': 30 }, 20 * MINUTE_MS);
  const { store } = house;
  const context = { world: house.daemon.world, store, timeZone: 'UTC' };
  const place = house.daemon.world.places.get('bench-1') as Place;
  const span = { fromMs, toMs: house.hand.clock.nowMs() };
  const made = [...historyOf(place, span, context)];
  return { ruled, made, heat: made.find(({ record }) => record.rule === 'air-over-ceiling') };
}

describe('the history that the record of the demo makes', () => {
  test('has the raisings and returns of the live alarm, to the second, and nothing else but who answered', async () => {
    const { ruled, heat } = await hotTwice();
    const live = ruled.house.store.alarms
      .events('bench-1.air-over-ceiling')
      .filter(({ transition }) => transition === 'raised' || transition === 'returned')
      .toSorted((a, b) => a.atMs - b.atMs);
    const without = heat?.transitions.filter(({ transition }) => transition !== 'acknowledged') ?? [];
    expect(live.length).toBe(3);
    expect(without.map(({ transition }) => transition)).toEqual(live.map(({ transition }) => transition));
    for (const [i, { atMs }] of without.entries())
      expect(Math.abs(atMs - (live[i]?.atMs ?? 0))).toBeLessThanOrEqual(1_000);
    const answered = heat?.transitions.filter(({ transition }) => transition === 'acknowledged') ?? [];
    expect(answered.length).toBeGreaterThan(0);
    for (const { by } of answered) expect(DEMO_BATCHES.growers).toContain(by);
    ruled.house.daemon.stop();
  });

  test('leaves what is active to be judged on by the probe it rests on', async () => {
    const { ruled, heat } = await hotTwice();
    const live = ruled.alarm('air-over-ceiling');
    expect(['unacknowledged', 'acknowledged']).toContain(heat?.record.state);
    const active = Object.entries(heat?.record.conditions ?? {}).map(([source, { phase }]) => [
      source,
      phase,
    ]);
    const probe = ruled.house.daemon.world.probesOf('bench-1').find(({ name }) => name === 'air/temperature');
    expect(active).toEqual([[String(probe?.id), 'standing']]);
    expect(live?.state).toBe('unacknowledged');
    ruled.house.daemon.stop();
  });
});

describe('the batches of the demo', () => {
  test('are seven, entered as any other: four finished with a fit of their own, one failing, four stages', async () => {
    const house = startHouse();
    for (const device of ['demo-mist-bench', 'demo-bottle-dome', 'demo-heated-case'])
      await house.report([airRecord(22)], device);
    const { batches } = house.daemon;
    enterDemoBatches(batches, START_MS);
    const all = batches.list({ placeId: null, state: null });
    expect(all.map(({ cultivar }) => cultivar?.startsWith('Invented'))).toEqual(all.map(() => true));
    expect(all.every(({ note }) => note?.startsWith('Invented for the demo'))).toBe(true);
    const closed = all.filter(({ state }) => state === 'closed');
    const open = all.filter(({ state }) => state === 'open');
    expect([closed.length, open.length]).toEqual([4, 3]);
    expect(new Set([...open, ...closed].map(({ stage }) => stage))).toEqual(
      new Set(['sticking', 'callusing', 'rooting', 'toning']),
    );
    expect(closed.map(({ id }) => batches.rooting(id).halfRooted !== null)).toEqual([true, true, true, true]);
    const failing = open.find(({ crop }) => crop === 'Coleus');
    expect(failing?.strike?.share).toBeLessThan(0.2);
    expect(Date.parse(failing?.stuckAt ?? '')).toBeLessThan(START_MS - 9 * DAY_MS);
    house.daemon.stop();
  });
});
