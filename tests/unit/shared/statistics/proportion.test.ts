import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type Counted,
  differenceInterval,
  type Interval,
  isDistinct,
  wilsonInterval,
} from '../../../../shared/statistics/proportion.ts';

const printed = ({ low, high }: Interval) => [low.toFixed(4), high.toFixed(4)];
const counted = fc
  .integer({ min: 1, max: 500 })
  .chain((trials) =>
    fc.record({ trials: fc.constant(trials), successes: fc.integer({ min: 0, max: trials }) }),
  );
const always = (check: (first: Counted, second: Counted) => void) =>
  fc.assert(fc.property(counted, counted, check), { numRuns: 500 });

/** What textbooks print, and what must not be used: the negative control. */
function wald({ successes, trials }: Counted): Interval {
  const share = successes / trials;
  const reach = 1.959963984540054 * Math.sqrt((share * (1 - share)) / trials);
  return { low: share - reach, high: share + reach };
}

describe('the interval of a share', () => {
  test.each([
    // [NEWCOMBE98A] table I, method 3
    [81, 263, '0.2553', '0.3662'],
    [15, 148, '0.0624', '0.1605'],
    [0, 20, '0.0000', '0.1611'],
    [1, 29, '0.0061', '0.1718'],
    // computed from the formula of [WILSON27] in another language
    [7, 10, '0.3968', '0.8922'],
    [12, 12, '0.7575', '1.0000'],
    [16, 20, '0.5840', '0.9193'],
    [40, 50, '0.6696', '0.8876'],
    [10, 10, '0.7225', '1.0000'],
  ])('%d of %d lies between %s and %s', (successes, trials, low, high) => {
    expect(printed(wilsonInterval({ successes, trials }))).toEqual([low, high]);
  });

  // [WILSON27]: a limit is a share p from which the observed p₀ lies λ standard deviations away, (p₀ − p)² = λ² p q / n
  test('each end solves the equation of the paper to 1e-12, for 500 random counts', () => {
    always((one) => {
      const share = one.successes / one.trials;
      for (const end of Object.values(wilsonInterval(one))) {
        const wrong = (share - end) ** 2 - (1.959963984540054 ** 2 * end * (1 - end)) / one.trials;
        expect(Math.abs(wrong)).toBeLessThan(1e-12);
      }
    });
  });

  // [BROWN01] section 2: how often the usual interval holds the true share; it falls with more cuttings
  test.each([
    [0.5, 17, '0.951'],
    [0.5, 40, '0.919'],
    [0.2, 30, '0.946'],
    [0.2, 98, '0.928'],
  ])(
    'the usual interval holds a share of %d among %d in %s of cases; this one in 0.95 or more',
    (p, n, usual) => {
      expect(coverage(wald, p, n).toFixed(3)).toBe(usual);
      expect(coverage(wilsonInterval, p, n)).toBeGreaterThan(0.95);
    },
  );

  test('it stays within 0…1, holds the share, and mirrors when what is counted is swapped', () => {
    always((one) => {
      const { low, high } = wilsonInterval(one);
      const share = one.successes / one.trials;
      expect(low).toBeGreaterThanOrEqual(0);
      expect(high).toBeLessThanOrEqual(1);
      expect(low).toBeLessThanOrEqual(share);
      expect(high).toBeGreaterThanOrEqual(share);
      expect(high).toBeGreaterThan(low);
      const mirrored = wilsonInterval({ trials: one.trials, successes: one.trials - one.successes });
      expect(mirrored.low).toBeCloseTo(1 - high, 12);
      expect(mirrored.high).toBeCloseTo(1 - low, 12);
    });
  });

  test('four times as many of the same share give a narrower interval', () => {
    always(({ successes, trials }) => {
      const few = wilsonInterval({ successes, trials });
      const many = wilsonInterval({ successes: 4 * successes, trials: 4 * trials });
      expect(many.high - many.low).toBeLessThan(few.high - few.low);
    });
  });

  test.each([
    [0, 0],
    [-1, 5],
    [6, 5],
    [1.5, 5],
    [1, Number.NaN],
  ])('%d of %d is refused', (successes, trials) => {
    expect(() => wilsonInterval({ successes, trials })).toThrow(RangeError);
  });
});

function coverage(interval: (one: Counted) => Interval, share: number, trials: number): number {
  let [sum, chance] = [0, (1 - share) ** trials];
  for (let successes = 0; successes <= trials; successes += 1) {
    const { low, high } = interval({ successes, trials });
    if (low <= share && share <= high) sum += chance;
    chance *= ((trials - successes) / (successes + 1)) * (share / (1 - share));
  }
  return sum;
}

describe('the interval of a difference', () => {
  // [NEWCOMBE98B] table II, method 10, contrasts (a) to (h); the two after them computed in another language
  test.each([
    [56, 70, 48, 80, '0.0524', '0.3339'],
    [9, 10, 3, 10, '0.1705', '0.8090'],
    [6, 7, 2, 7, '0.0582', '0.8062'],
    [5, 56, 0, 29, '-0.0381', '0.1926'],
    [0, 10, 0, 20, '-0.1611', '0.2775'],
    [0, 10, 0, 10, '-0.2775', '0.2775'],
    [10, 10, 0, 20, '0.6791', '1.0000'],
    [10, 10, 0, 10, '0.6075', '1.0000'],
    [18, 20, 14, 20, '-0.0536', '0.4305'],
    [48, 80, 56, 70, '-0.3339', '-0.0524'],
  ])('%d of %d less %d of %d lies between %s and %s', (a, m, b, n, low, high) => {
    const interval = differenceInterval({ successes: a, trials: m }, { successes: b, trials: n });
    expect(printed(interval)).toEqual([low, high]);
    expect(interval.difference).toBeCloseTo(a / m - b / n, 12);
  });

  // [NEWCOMBE98B] table II, method 1: what a wrong method gives for contrast (a)
  test('the usual interval of 56 of 70 less 48 of 80 would be 0.0575 to 0.3425', () => {
    const [one, two] = [wald({ successes: 56, trials: 70 }), wald({ successes: 48, trials: 80 })];
    const reach = Math.hypot(one.high - 0.8, two.high - 0.6);
    expect(printed({ low: 0.2 - reach, high: 0.2 + reach })).toEqual(['0.0575', '0.3425']);
    const ours = differenceInterval({ successes: 56, trials: 70 }, { successes: 48, trials: 80 });
    expect(printed(ours)).not.toEqual(['0.0575', '0.3425']);
  });

  test('it stays within −1…1, holds the difference, and turns its sign when the two are swapped', () => {
    always((first, second) => {
      const { difference, low, high } = differenceInterval(first, second);
      expect(low).toBeGreaterThanOrEqual(-1);
      expect(high).toBeLessThanOrEqual(1);
      expect(low).toBeLessThanOrEqual(difference);
      expect(high).toBeGreaterThanOrEqual(difference);
      const swapped = differenceInterval(second, first);
      expect(swapped.low).toBeCloseTo(-high, 12);
      expect(swapped.high).toBeCloseTo(-low, 12);
      expect(isDistinct(swapped)).toBe(isDistinct({ low, high }));
    });
  });

  test('a batch compared with itself is never told apart, 0 of 10 and 10 of 10 always are', () => {
    always((one) => {
      expect(isDistinct(differenceInterval(one, one))).toBe(false);
    });
    expect(isDistinct(differenceInterval({ successes: 0, trials: 10 }, { successes: 10, trials: 10 }))).toBe(
      true,
    );
  });

  test.each([
    [-0.0536, 0.4305, false],
    [0, 0.4, false],
    [-0.3, 0, false],
    [0.0524, 0.3339, true],
    [-0.3339, -0.0524, true],
  ])('an interval from %d to %d tells apart: %s', (low, high, apart) => {
    expect(isDistinct({ low, high })).toBe(apart);
  });
});
