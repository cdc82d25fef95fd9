import { expect, it } from 'vitest';
import { openStore } from '../../../../../server/adapters/sqlite/store.ts';
import { clockByHand } from '../../support/hand.ts';
import { airRecord, databaseFile, type House, packOf, START_MS, startHouse } from '../../support/house.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
const BACK_MS = 400 * DAY_MS;
const MILD_C = 22;
const HOT_C = 48;

async function blow(house: House, { valueC, forMs }: { valueC: number; forMs: number }): Promise<void> {
  for (let passedMs = 0; passedMs < forMs; passedMs += 10_000) {
    await house.report([airRecord(valueC)]);
    house.hand.pass(10_000);
  }
}

/** A house that keeps readings for 35 days and whose clock then goes back by 400. */
async function setBack() {
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const house = startHouse({ hand, store, keepRawDays: 35 });
  await blow(house, { valueC: MILD_C, forMs: 20 * MINUTE_MS });
  expect(store.horizon.get()).not.toBeNull();
  hand.jump(-BACK_MS);
  return house;
}

it('a clock behind all that is kept: 12 packs are judged and acknowledged, kept among the refused, and not stored', async () => {
  const house = await setBack();
  const { daemon, store, hand } = house;
  await blow(house, { valueC: HOT_C, forMs: 2 * MINUTE_MS });
  expect(daemon.world.alarms.get('bench-1.air-far-over-ceiling')?.state).toBe('unacknowledged');
  const { byCode, refused } = daemon.queries.refused();
  expect(byCode).toEqual({ 'clock-behind': 12 });
  expect(refused[0]).toMatchObject({ code: 'clock-behind', device: 'bench-1' });
  expect(refused[0]?.reason).toContain('the clock of this computer');
  const [probeId = 0] = daemon.world.probes.keys();
  const wrong = { probeIds: [probeId], fromMs: 0, toMs: START_MS - 1 };
  expect(store.journal.window(wrong).flatMap(({ timesMs }) => [...timesMs])).toEqual([]);
  expect(daemon.queries.place('bench-1').now.quantities.airTemperatureC?.value).toBe(HOT_C);
  hand.jump(BACK_MS);
  await blow(house, { valueC: MILD_C, forMs: MINUTE_MS });
  expect(daemon.queries.refused().byCode).toEqual({ 'clock-behind': 12 });
  const right = { probeIds: [probeId], fromMs: START_MS, toMs: START_MS + DAY_MS };
  expect(store.journal.window(right)[0]?.timesMs.length).toBe(120 + 6);
});

it('a device that knows the time is stored at it, while that clock is behind', async () => {
  const { daemon, send, hand, store } = await setBack();
  const record = { ...airRecord(HOT_C), t: (hand.clock.nowMs() + BACK_MS) / 1_000 };
  await send(packOf([record], { arrivedAtMs: hand.clock.nowMs() }));
  expect(daemon.queries.refused().total).toBe(0);
  const [probeId = 0] = daemon.world.probes.keys();
  expect(store.journal.latest(probeId)).toMatchObject({ tMs: START_MS + 20 * MINUTE_MS, value: HOT_C });
});
