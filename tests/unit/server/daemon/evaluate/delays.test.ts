import { expect, test } from 'vitest';
import { createDelays, LEAST_APART_MS } from '../../../../../server/daemon/evaluate/delays.ts';
import { clockByHand } from '../../support/hand.ts';
import { airRecord, START_MS, startHouse } from '../../support/house.ts';

const ID = 'bench-1.air-over-ceiling';
/** By hand: 30 °C is 3.3 K over the ceiling of 26.7 °C; a delay of 60 s is over after 60 / 2^(3.3/5) = 37.97 s. */
const DELAY_MS = 37_973;

test.each([0, 300, 950])(
  'a delay of 37.97 s that began %i ms after a turn of the watch is over within 0.2 s of its end, though no other reading comes',
  async (afterMs) => {
    const house = startHouse();
    house.hand.pass(afterMs);
    await house.report([airRecord(30)]);
    const state = () => house.daemon.world.alarms.get(ID)?.state ?? 'normal';
    house.hand.pass(DELAY_MS - 73);
    expect(state()).toBe('normal');
    house.hand.pass(73 + 200);
    expect(state()).toBe('unacknowledged');
  },
);

test('on-delays that begin again every 50 ms for 10 s are looked at 50 times at most', () => {
  const hand = clockByHand(START_MS);
  let samples = 0;
  const check = () => {
    samples += 1;
    return null;
  };
  const delays = createDelays({ clock: hand.clock, timers: hand.timers, check });
  for (let k = 0; k < 200; k++) {
    delays.due(hand.clock.nowMs() + 1);
    hand.pass(50);
  }
  expect(samples).toBeGreaterThan(0);
  expect(samples).toBeLessThanOrEqual(10_000 / LEAST_APART_MS);
});
