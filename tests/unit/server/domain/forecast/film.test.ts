import { describe, expect, test } from 'vitest';
import { driedBetween, driesAt } from '../../../../../server/domain/forecast/film.ts';

const MIN = 60_000;

describe('the film on the leaves', () => {
  test('that lasts 10 min in this air is gone 10 min after the pulse', () => {
    expect(driesAt({ wetMs: 0, nextMs: 20 * MIN }, () => 10, 0)).toBe(10 * MIN);
  });

  test('half dried at 10 min a film, the other half at 20, is gone after 5 + 10 min', () => {
    const minutesAt = (tMs: number) => (tMs < 5 * MIN ? 10 : 20);
    expect(driesAt({ wetMs: 0, nextMs: 20 * MIN }, minutesAt, 20 * MIN)).toBeCloseTo(15 * MIN, 6);
  });

  test('lasts until the next pulse where it needs as long, or never dries, and is not judged in unknown air', () => {
    expect(driesAt({ wetMs: 0, nextMs: 10 * MIN }, () => 10, 0)).toBeNull();
    expect(driesAt({ wetMs: 0, nextMs: 90 * MIN }, () => null, 0)).toBeNull();
    expect(driesAt({ wetMs: 0, nextMs: 90 * MIN }, () => undefined, 0)).toBeNull();
  });

  test('of a moment goes on as in its last air: what comes later is not looked at', () => {
    const minutesAt = (tMs: number) => (tMs <= 4 * MIN ? 20 : 1);
    expect(driesAt({ wetMs: 0, nextMs: 30 * MIN }, minutesAt, 4 * MIN)).toBe(20 * MIN);
  });

  test('dried between two pulses of three: not where it was dark, the mist was off for hours, or a minute was left', () => {
    const pulses = [0, 20, 40, 200].map((min) => ({ fromMs: min * MIN, toMs: null }));
    const options = { lit: () => true, longestMs: 30 * MIN, leastDryMs: MIN };
    expect(driedBetween(pulses, { ...options, minutesAt: () => 15 })).toEqual([15 * MIN, 35 * MIN]);
    expect(driedBetween(pulses, { ...options, minutesAt: () => 19.5 })).toEqual([]);
    expect(driedBetween(pulses, { ...options, minutesAt: () => 15, lit: (t) => t >= 20 * MIN })).toEqual([
      35 * MIN,
    ]);
  });
});
