import { expect, test } from 'vitest';
import { follows, waitMs } from '../../../../web/frame/resync.ts';

// The bounds are the design's: 0.5 s doubling to 10 s, spread over the upper half.
test.each([
  [0, 250, 500],
  [1, 500, 1_000],
  [3, 2_000, 4_000],
  [5, 5_000, 10_000],
  [60, 5_000, 10_000],
])('after %i failed attempts the wait is %i to %i ms', (attempt, least, most) => {
  expect(waitMs(attempt, 0)).toBe(least);
  expect(waitMs(attempt, 1)).toBe(most);
});

test('message 8 follows 7; 9 leaves a hole, 7 is a repeat; any number may come first', () => {
  expect([8, 9, 7].map((seq) => follows(7, seq))).toEqual([true, false, false]);
  expect(follows(null, 41)).toBe(true);
});
