import { expect, test } from 'vitest';
import { crossingOf } from '../../../../../server/domain/forecast/crossing.ts';

const MIN_MS = 60_000;
const points = [5, 10, 15, 20].map((min) => ({
  tMs: min * MIN_MS,
  value: 20 + min * 0.4,
  low80: 20 + min * 0.2,
  high80: 20 + min * 0.8,
}));
const start = { tMs: 0, value: 20 };

test('air at 20 °C that rises 0.4 a minute reaches 26 °C after 15 min, between 7.5 min and later than 20', () => {
  const crossing = crossingOf(points, { start, limitAt: () => 26, sense: 'above' });
  expect(crossing.reachedMs).toBeCloseTo(15 * MIN_MS, 6);
  expect(crossing.earliestMs).toBeCloseTo(7.5 * MIN_MS, 6);
  expect(crossing.latestMs).toBeNull();
});

test('what is beyond its limit at the start has reached it then', () => {
  const at = crossingOf(points, { start, limitAt: () => 19, sense: 'above' });
  expect(at).toEqual({ reachedMs: 0, earliestMs: 0, latestMs: 0 });
});

test('a root zone that falls to 18 °C crosses a foot of 19, and a foot that rises to meet it sooner', () => {
  const falling = points.map(({ tMs }) => ({ tMs, value: 20 - tMs / (10 * MIN_MS), low80: 0, high80: 30 }));
  const still = crossingOf(falling, { start, limitAt: () => 19, sense: 'below' });
  expect(still.reachedMs).toBeCloseTo(10 * MIN_MS, 6);
  const rising = crossingOf(falling, { start, limitAt: (tMs) => 18 + tMs / (10 * MIN_MS), sense: 'below' });
  expect(rising.reachedMs).toBeCloseTo(10 * MIN_MS, 6);
});

test('where no limit holds at first, it counts from the first point at which one does', () => {
  const crossing = crossingOf(points, {
    start,
    limitAt: (tMs) => (tMs < 10 * MIN_MS ? null : 21),
    sense: 'above',
  });
  expect(crossing.reachedMs).toBe(10 * MIN_MS);
});
