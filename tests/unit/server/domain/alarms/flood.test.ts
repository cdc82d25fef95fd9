import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type Annunciated,
  floodAt,
  withAnnunciated,
} from '../../../../../server/domain/alarms/nuisance/flood.ts';

/** More than 10 in 10 min begin it, fewer than 5 in 10 min end it: public summaries of ISA-18.2. */
const MINUTE_MS = 60_000;

const at = (minutes: readonly number[]): Annunciated[] =>
  minutes.map((minute, i) => ({ alarmId: `a${i}`, atMs: minute * MINUTE_MS }));
const every = (count: number, apartMin: number) => at(Array.from({ length: count }, (_, i) => i * apartMin));

describe('an alarm every half minute from 0:00', () => {
  test('is no flood with the 10th at 4:30, and one with the 11th at 5:00, of which the first was announced at 0:00', () => {
    const announced = every(11, 0.5);
    expect(floodAt(announced, 4.5 * MINUTE_MS)).toBeNull();
    const flood = floodAt(announced, 5 * MINUTE_MS);
    expect(flood?.sinceMs).toBe(5 * MINUTE_MS);
    expect(flood?.announced[0]).toEqual({ alarmId: 'a0', atMs: 0 });
    expect(flood?.lately).toHaveLength(11);
  });

  test('ends at 13:00, when of 11 alarms 4 are left of the last 10 min: those after 3:00', () => {
    const announced = every(11, 0.5);
    expect(floodAt(announced, 13 * MINUTE_MS - 1)?.lately).toHaveLength(5);
    expect(floodAt(announced, 13 * MINUTE_MS)).toBeNull();
  });

  test('and every minute after goes on as the one flood: 10 in 10 min would begin none, and do not end it', () => {
    const announced = [...every(11, 0.5), ...at([6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18])];
    expect(floodAt(announced, 18 * MINUTE_MS)?.sinceMs).toBe(5 * MINUTE_MS);
  });
});

test('10 alarms at once are none, nor are 20 of one every minute', () => {
  expect(floodAt(every(10, 0), MINUTE_MS)).toBeNull();
  expect(floodAt(every(20, 1), 19 * MINUTE_MS)).toBeNull();
});

/** Worked out again: checked every second from the start, by counting alone. */
function modelled(announced: readonly Annunciated[], nowMs: number): number | null {
  let sinceMs: number | null = null;
  for (let tMs = 0; tMs <= nowMs; tMs += 1_000) {
    const count = announced.filter(({ atMs }) => atMs <= tMs && atMs > tMs - 10 * MINUTE_MS).length;
    if (sinceMs !== null && count < 5) sinceMs = null;
    if (sinceMs === null && count > 10) sinceMs = tMs;
  }
  return sinceMs;
}

test('300 stories begin and end as counting at every second does, in whatever order they come, the same when only what is remembered is known', () => {
  const gaps = fc.array(fc.constantFrom(1, 5, 10, 20, 30, 40, 45, 60, 61, 120, 299, 600), {
    minLength: 12,
    maxLength: 40,
  });
  let floods = 0;
  fc.assert(
    fc.property(gaps, fc.constantFrom(0, 100, 300, 599, 601), (of, afterS) => {
      let atMs = 0;
      let remembered: Annunciated[] = [];
      const announced = of.map((gapS, i) => {
        atMs += gapS * 1_000;
        const one = { alarmId: `a${i}`, atMs };
        remembered = withAnnunciated(JSON.parse(JSON.stringify(remembered)), one);
        return one;
      });
      const nowMs = atMs + afterS * 1_000;
      const flood = floodAt(announced, nowMs);
      expect(flood?.sinceMs ?? null).toBe(modelled(announced, nowMs));
      expect(floodAt(announced.toReversed(), nowMs)?.sinceMs).toBe(flood?.sinceMs);
      expect(floodAt(remembered, nowMs)).toEqual(flood);
      if (flood) floods += 1;
    }),
    { numRuns: 300 },
  );
  expect(floods).toBeGreaterThan(20);
});
