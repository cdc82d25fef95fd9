import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { allOf, anyOf, lengthsOf, whereAbove, whereBelow } from '../../../../shared/exposure/intersect.ts';
import type { Window } from '../../../../shared/exposure/series.ts';

const windows = (...pairs: readonly (readonly [number, number])[]): Window[] =>
  pairs.map(([fromMs, toMs]) => ({ fromMs, toMs }));

describe('time in every list', () => {
  test.each([
    ['0–10 and 5–15 share 5–10', [[[0, 10]], [[5, 15]]], [[5, 10]]],
    ['0–10 and 10–20, which only touch, share nothing', [[[0, 10]], [[10, 20]]], []],
    [
      '0–100 and three windows of 10 share the three',
      [
        [[0, 100]],
        [
          [5, 15],
          [30, 40],
          [90, 110],
        ],
      ],
      [
        [5, 15],
        [30, 40],
        [90, 100],
      ],
    ],
    [
      '0–10 then 10–20 in one list are one stretch',
      [
        [
          [0, 10],
          [10, 20],
        ],
        [[5, 15]],
      ],
      [[5, 15]],
    ],
    ['one list is itself', [[[3, 4]]], [[3, 4]]],
    ['3 lists of which one is empty share nothing', [[[0, 9]], [], [[0, 9]]], []],
    ['no list at all is no time', [], []],
  ] as const)('%s', (_, lists, expected) => {
    expect(allOf(lists.map((list) => windows(...list)))).toEqual(windows(...expected));
  });
});

test('time in any list: 0–5, 5–8, 3–6 and 20–21 are 0–8 and 20–21', () => {
  expect(anyOf([windows([5, 8], [20, 21]), windows([0, 5]), windows([3, 6])])).toEqual(
    windows([0, 8], [20, 21]),
  );
  expect(anyOf([])).toEqual([]);
});

test('spans above and below are told apart, and 2 of one kind that touch are 1 window', () => {
  const spans = [
    { fromMs: 0, toMs: 10, above: true },
    { fromMs: 10, toMs: 20, above: true },
    { fromMs: 20, toMs: 30, above: false },
    { fromMs: 40, toMs: 50, above: true },
  ];
  expect(whereAbove(spans)).toEqual(windows([0, 20], [40, 50]));
  expect(whereBelow(spans)).toEqual(windows([20, 30]));
});

describe('lengths', () => {
  test('of 0–10, 20–25 and 30–50 are 35 ms in all and 20 ms for the longest; of none, 0 and 0', () => {
    expect(lengthsOf(windows([0, 10], [20, 25], [30, 50]))).toEqual({ totalMs: 35, longestMs: 20 });
    expect(lengthsOf([])).toEqual({ totalMs: 0, longestMs: 0 });
  });

  test('of 500 000 windows, two years of pulses, are summed like any other', () => {
    const many = Array.from({ length: 500_000 }, (_, i) => ({ fromMs: 2 * i, toMs: 2 * i + 1 }));
    expect(lengthsOf(many)).toEqual({ totalMs: 500_000, longestMs: 1 });
  });
});

describe('for 300 random pairs of lists, ms by ms from 0 to 60', () => {
  /** Ascending windows that neither overlap nor touch, from whether each ms is in or out. */
  const list = fc.array(fc.boolean(), { minLength: 60, maxLength: 60 }).map((inside) => {
    const found: { fromMs: number; toMs: number }[] = [];
    inside.forEach((isIn, ms) => {
      const last = found.at(-1);
      if (isIn && last?.toMs === ms) last.toMs = ms + 1;
      else if (isIn) found.push({ fromMs: ms, toMs: ms + 1 });
    });
    return { inside, found };
  });
  const membersOf = (found: readonly Window[]) =>
    Array.from({ length: 60 }, (_, ms) => found.some(({ fromMs, toMs }) => fromMs <= ms && ms < toMs));
  const apart = (found: readonly Window[]) =>
    found.every(({ fromMs }, i) => i === 0 || fromMs > (found[i - 1]?.toMs ?? Number.NaN));

  test('a moment is in all exactly when it is in both, in any when in one, and results never touch', () => {
    fc.assert(
      fc.property(list, list, (one, other) => {
        const both = allOf([one.found, other.found]);
        const either = anyOf([one.found, other.found]);
        expect(membersOf(both)).toEqual(one.inside.map((isIn, ms) => isIn && other.inside[ms]));
        expect(membersOf(either)).toEqual(one.inside.map((isIn, ms) => isIn || other.inside[ms]));
        expect([apart(both), apart(either)]).toEqual([true, true]);
        expect(lengthsOf(both).totalMs + lengthsOf(either).totalMs).toBe(
          lengthsOf(one.found).totalMs + lengthsOf(other.found).totalMs,
        );
      }),
      { numRuns: 300 },
    );
  });
});
