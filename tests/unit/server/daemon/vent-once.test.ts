import { expect, test } from 'vitest';
import { clockByHand, comingRoundEvery } from '../support/hand.ts';
import { START_MS } from '../support/house.ts';
import { GOOD, ruledHouse } from '../support/ruled.ts';

const HOUR_MS = 3_600_000;

test('a vent that is written down as open cannot be opened again within 12 h; shut, or 13 h later, it can', async () => {
  const { house, hold } = ruledHouse({ hand: comingRoundEvery(clockByHand(START_MS), 60_000) });
  await hold(GOOD, 60_000);
  const { orders } = house.daemon;
  const fromMs = house.hand.clock.nowMs();
  const open = (atMs: number) => orders.logVent('bench-1', { fromMs: atMs, toMs: null, note: null });
  const first = open(fromMs);
  expect(() => open(fromMs + 60_000)).toThrow(/written down as open since/);
  expect(() => open(fromMs - HOUR_MS)).toThrow(/shut it, or take it back/);
  // shutting it is writing it down again with its end
  const shut = orders.logVent('bench-1', { fromMs, toMs: fromMs + 60_000, note: null });
  orders.removeVent('bench-1', first.id);
  const second = open(fromMs + 120_000);
  expect([shut.toMs, second.toMs]).toEqual([fromMs + 60_000, null]);
  house.hand.pass(13 * HOUR_MS);
  expect(open(fromMs + 13 * HOUR_MS).toMs).toBeNull();
});
