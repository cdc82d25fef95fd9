import { describe, expect, test } from 'vitest';
import type { BatchRooting } from '../../../../shared/wire/cuttings/rooting.ts';
import { rootingWords, withoutMistWords } from '../../../../web/batches/rooting-words.ts';
import { AT, ago } from './examples.ts';

const NOTHING: BatchRooting = {
  halfRooted: null,
  halfRootedReason: 'no-count',
  batches: 1,
  needed: 3,
  fit: null,
  expected: null,
  expectedReason: 'too-few-batches',
  withoutMist: null,
};
const FIT = { mean: 1000, low95: 752, high95: 1248, nextLow95: 503, nextHigh95: 1497 };
const said = (change: Partial<BatchRooting>) =>
  rootingWords({ ...NOTHING, ...change }, AT, 'C').map((words) => words.replaceAll('\u00a0', ' '));

describe('when half has roots', () => {
  test('with one batch of three nothing is made up, and what is wanting is said', () => {
    expect(said({})).toEqual([
      'No date is expected yet: it takes 3 of your own batches of this crop, counted before and after half had roots; 1 of them is known. No total is published for any crop.',
    ]);
    expect(said({ batches: 0 })[0]).toContain('none is known');
  });

  test('about 12 Dec (9 Dec to 16 Dec), by 3 batches, with their total', () => {
    const expected = { at: ago(-9), earliest: ago(-6), latest: ago(-13), degreeHoursPerDay: 100 };
    expect(said({ batches: 3, fit: FIT, expected, expectedReason: null })).toEqual([
      'Half are expected to have roots about 12 Dec (9 Dec to 16 Dec), by your own 3 batches.',
      'By your own 3 batches it takes 1000.0 °C·h until half have roots; the next is expected between 503.0 °C·h and 1497.0 °C·h.',
    ]);
  });

  test('without a latest day, none is made up', () => {
    const expected = { at: ago(-9), earliest: ago(-6), latest: null, degreeHoursPerDay: 100 };
    expect(said({ batches: 3, expected, expectedReason: null })[0]).toContain(
      'about 12 Dec (from 9 Dec on, with no end in sight)',
    );
  });

  test('that it was reached is said with the counts around it', () => {
    const halfRooted = { at: ago(4), after: ago(6), before: ago(2) };
    expect(said({ halfRooted, halfRootedReason: null, expectedReason: 'half-rooted' })).toEqual([
      'Half had roots about 29 Nov, between the counts of 27 Nov and 1 Dec.',
    ]);
    expect(said({ halfRootedReason: 'half-at-first-count', expectedReason: 'half-rooted' })).toHaveLength(1);
  });
});

describe('minutes without mist', () => {
  const of = { minutes: 72.4, low: 48.2, high: 108.9, longerThanMeasured: false };

  test('are said as an estimate with range and source; nothing past the days of the paper', () => {
    expect(withoutMistWords({ withoutMist: of })).toBe(
      'Without mist it is expected to stand about 1 h 12 min in the air of now (48 min to 1 h 48 min). An estimate: measured were poinsettia in the dark [ALEM19]; other air, light and other crops are our model.',
    );
    expect(withoutMistWords({ withoutMist: null })).toBeNull();
  });

  test('beyond 5 h 25 min are said to be longer than was measured, with the short end where it is not', () => {
    expect(withoutMistWords({ withoutMist: { ...of, high: 325 } })).toContain(
      '(48 min to more than 5 h 25 min)',
    );
    const long = { minutes: 325, low: 117.6, high: 325, longerThanMeasured: true };
    expect(withoutMistWords({ withoutMist: long })).toContain(
      'expected to stand longer than the paper measured, which is 5 h 25 min, in the air of now, 1 h 57 min at the shortest. An estimate',
    );
    expect(withoutMistWords({ withoutMist: { ...long, low: 325 } })).toContain('in the air of now. An');
  });
});
