import { expect, test } from 'vitest';
import { targetsAt, targetsInForce } from '../../../../../server/domain/places/targets-history.ts';
import { TARGETS } from '../../support/targets.ts';

/** Targets that can be told apart by their ceiling, °C. */
const withCeiling = (ceilingC: number) => ({ ...TARGETS, air: { ...TARGETS.air, ceilingC } });
const edits = (...entries: readonly (readonly [fromMs: number, ceilingC: number])[]) =>
  entries.map(([fromMs, ceilingC], i) => ({ fromMs, enteredMs: 1_000 + i, targets: withCeiling(ceilingC) }));
const inForce = (...entries: readonly (readonly [number, number])[]) =>
  targetsInForce(edits(...entries)).map(({ fromMs, targets }) => [fromMs, targets.air.ceilingC]);

test('3 edits, each from later on, all hold in turn', () => {
  expect(inForce([0, 26], [100, 27], [200, 28])).toEqual([
    [0, 26],
    [100, 27],
    [200, 28],
  ]);
});

test('a later edit from 50 replaces those from 100 and 200, and leaves the one from 0', () => {
  expect(inForce([0, 26], [100, 27], [200, 28], [50, 29])).toEqual([
    [0, 26],
    [50, 29],
  ]);
});

test('a later edit from the same moment takes the place of the earlier one', () => {
  expect(inForce([0, 26], [100, 27], [100, 28])).toEqual([
    [0, 26],
    [100, 28],
  ]);
});

test('an edit from before the first replaces it', () => {
  expect(inForce([100, 26], [50, 27])).toEqual([[50, 27]]);
});

test('no edit at all is a mistake of ours', () => {
  expect(() => targetsInForce([])).toThrow(RangeError);
  expect(() => targetsAt([], 0)).toThrow(RangeError);
});

test.each([
  [-1, 26],
  [0, 26],
  [99, 26],
  [100, 27],
  [5_000, 27],
])(
  'at %i ms the ceiling of 0 → 26, 100 → 27 °C is %i °C, the first holding before its start too',
  (atMs, ceilingC) => {
    const history = targetsInForce(edits([0, 26], [100, 27]));
    expect(targetsAt(history, atMs).air.ceilingC).toBe(ceilingC);
  },
);
