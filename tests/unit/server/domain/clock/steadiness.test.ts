import { describe, expect, it } from 'vitest';
import {
  afterReading,
  type ClockReading,
  type ClockState,
  firstState,
  judgedMs,
  KEEP_ALL_MS,
  offsetsMs,
  undoes,
} from '../../../../../server/domain/clock/steadiness.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;
const NOW_MS = Date.UTC(2026, 5, 1, 10);

const at = (elapsedMs: number, aheadMs = 0, bootId = 'one'): ClockReading => ({
  wallMs: NOW_MS + elapsedMs + aheadMs,
  elapsedMs,
  bootId,
});

/** Looks once a second over a span, as the daemon does. */
function watched(
  state: ClockState,
  { fromMs, toMs, aheadMs = 0 }: { fromMs: number; toMs: number; aheadMs?: number },
) {
  let after = state;
  for (let atMs = fromMs; atMs <= toMs; atMs += 1_000)
    after = afterReading(after, at(atMs, aheadMs), 0).state;
  return after;
}

describe('a look at both clocks', () => {
  it.each([
    { what: 'a clock that is slewed by 500 ppm for a day', aheadMs: 43_200 },
    { what: 'a computer that slept for 8 h: both clocks went on', aheadMs: 0 },
  ])('sees no jump in $what', ({ aheadMs }) => {
    expect(afterReading(firstState(at(0)), at(DAY_MS, aheadMs), 0).jump).toBeNull();
  });

  it('sees an hour forward and a minute back, and says what the clock would have shown', () => {
    const forward = afterReading(firstState(at(0)), at(1_000, HOUR_MS), 0);
    expect(forward.jump).toEqual({
      fromMs: NOW_MS + 1_000,
      toMs: NOW_MS + 1_000 + HOUR_MS,
      byMs: HOUR_MS,
      exact: true,
    });
    expect(afterReading(forward.state, at(2_000, HOUR_MS - MINUTE_MS), 0).jump?.byMs).toBe(-MINUTE_MS);
  });

  it('after a restart of the computer sees a clock that is behind by at least so much, and never one that is ahead', () => {
    const before = watched(firstState(at(0)), { fromMs: 0, toMs: HOUR_MS });
    expect(afterReading(before, at(0, -DAY_MS, 'two'), 0).jump).toMatchObject({
      byMs: -DAY_MS - HOUR_MS,
      exact: false,
    });
    const ahead = afterReading(before, at(0, 300 * DAY_MS, 'two'), 0);
    expect([ahead.jump, ahead.state.keepAllMs]).toEqual([null, KEEP_ALL_MS]);
    const overNight = afterReading(before, at(0, 10 * HOUR_MS, 'two'), 0);
    expect([overNight.jump, overNight.state.keepAllMs]).toEqual([null, 0]);
  });

  it('is steady again 15 min after the newest of several jumps, and then knows which stretch was wrong', () => {
    const first = watched(firstState(at(0)), { fromMs: 0, toMs: 60_000 });
    const there = afterReading(first, at(61_000, HOUR_MS), 7).state;
    const back = afterReading(there, at(120_000), 9).state;
    const calm = watched(back, { fromMs: 121_000, toMs: 120_000 + 15 * MINUTE_MS - 1_000 });
    expect(calm.jumps).toHaveLength(2);
    const steady = afterReading(calm, at(120_000 + 15 * MINUTE_MS), 12);
    expect([steady.becameSteady, steady.state.jumps]).toEqual([true, []]);
    expect(steady.wrong).toMatchObject([{ era: { afterGroup: 7 }, upToGroup: 9 }]);
  });

  it('knows at once which stretch was wrong when the clock comes back to what it steadily was', () => {
    const steady = watched(firstState(at(0)), { fromMs: 0, toMs: 16 * MINUTE_MS });
    const there = afterReading(steady, at(17 * MINUTE_MS, -DAY_MS), 3);
    expect(there.wrong).toEqual([]);
    const back = afterReading(there.state, at(18 * MINUTE_MS), 5);
    expect(back.wrong).toMatchObject([{ era: { afterGroup: 3 }, upToGroup: 5 }]);
  });

  it('knows that a clock was wrong that showed a time at which there was no Strikewell', () => {
    const without = firstState({ wallMs: DAY_MS, elapsedMs: 0, bootId: 'one' });
    expect(afterReading(without, at(30_000), 4).wrong).toMatchObject([
      { era: { afterGroup: 0 }, upToGroup: 4 },
    ]);
  });

  it('remembers 8 stretches and names 5 jumps, however often the clock is set', () => {
    let state = firstState(at(0));
    for (let i = 1; i <= 50; i++) state = afterReading(state, at(i * 1_000, i * HOUR_MS), i).state;
    expect([state.eras.length, state.jumps.length]).toEqual([8, 5]);
  });
});

describe('when a reading is judged', () => {
  const set = { offsetsMs: [HOUR_MS], isBehind: false };

  it.each([
    { what: 'one of now', tMs: -1_000, expected: -1_000 },
    { what: 'one that is late by the jump', tMs: -HOUR_MS - 2_000, expected: -2_000 },
    { what: 'one that is late by twice the jump', tMs: -2 * HOUR_MS, expected: -2 * HOUR_MS },
  ])('$what: $tMs ms from its arrival is judged at $expected', ({ tMs, expected }) => {
    expect(judgedMs({ tMs, arrivedAtMs: 0 }, set)).toBe(expected);
  });

  it('one of the future is judged at its arrival while the clock is behind by an unknown amount, else at its own time', () => {
    const reading = { tMs: DAY_MS, arrivedAtMs: 0 };
    expect(judgedMs(reading, { offsetsMs: [], isBehind: true })).toBe(0);
    expect(judgedMs(reading, { offsetsMs: [], isBehind: false })).toBe(DAY_MS);
  });

  it('devices are given 7 days, as nothing is dropped for as long', () => {
    const there = afterReading(firstState(at(0)), at(1_000, HOUR_MS), 0).state;
    expect(offsetsMs(there)).toEqual([HOUR_MS]);
    const calm = afterReading(there, at(16 * MINUTE_MS, HOUR_MS), 0).state;
    expect(offsetsMs(calm)).toEqual([HOUR_MS]);
    const later = afterReading(calm, at(8 * DAY_MS, HOUR_MS), 0).state;
    expect([offsetsMs(later), later.keepAllMs]).toEqual([[], 0]);
  });
});

it('a jump forward undoes the one back over whose place it goes, and no other', () => {
  const back = { fromMs: 10 * DAY_MS, toMs: 7 * DAY_MS, byMs: -3 * DAY_MS, exact: false };
  const forward = (fromMs: number, toMs: number) => ({ fromMs, toMs, byMs: toMs - fromMs, exact: true });
  expect(undoes(forward(7 * DAY_MS + HOUR_MS, 10 * DAY_MS + HOUR_MS), back)).toBe(true);
  expect(undoes(forward(7 * DAY_MS, 8 * DAY_MS), back)).toBe(false);
  expect(undoes(forward(11 * DAY_MS, 12 * DAY_MS), back)).toBe(false);
  expect(undoes(forward(7 * DAY_MS, 11 * DAY_MS), { ...back, byMs: 3 * DAY_MS })).toBe(false);
});
