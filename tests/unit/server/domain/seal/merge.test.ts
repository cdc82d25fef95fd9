import fc from 'fast-check';
import { expect, test } from 'vitest';
import { mergeLate } from '../../../../../server/domain/seal/merge.ts';

const record = (timesMs: readonly number[], values: readonly number[]) => ({
  timesMs: Float64Array.from(timesMs),
  values: Float64Array.from(values),
});

test('of 7 late readings 3 find a place, 2 are repeats and 2 conflict with what came first', () => {
  const late = [
    { tMs: 40, value: 24 },
    { tMs: 5, value: 20.5 },
    { tMs: 10, value: 21 },
    { tMs: 20, value: 99 },
    { tMs: 15, value: 21.5 },
    { tMs: 5, value: 98 },
    { tMs: 40, value: 24 },
  ];
  expect(mergeLate(record([10, 20, 30], [21, 22, 23]), late)).toEqual({
    record: record([5, 10, 15, 20, 30, 40], [20.5, 21, 21.5, 22, 23, 24]),
    added: 3,
    repeats: 2,
    conflicts: [
      { tMs: 5, kept: 20.5, turnedAway: 98 },
      { tMs: 20, kept: 22, turnedAway: 99 },
    ],
  });
});

test('0 late readings change nothing, and 2 late ones fill a record of 0', () => {
  expect(mergeLate(record([1], [2]), [])).toEqual({
    record: record([1], [2]),
    added: 0,
    repeats: 0,
    conflicts: [],
  });
  const late = [
    { tMs: 2, value: 6 },
    { tMs: 1, value: 5 },
  ];
  expect(mergeLate(record([], []), late).record).toEqual(record([1, 2], [5, 6]));
});

test('0 for a stored -0 is a repeat, and the stored sign stays', () => {
  const merged = mergeLate(record([1], [-0]), [{ tMs: 1, value: 0 }]);
  expect(merged).toMatchObject({ repeats: 1, conflicts: [] });
  expect(merged.record.values[0]).toBe(-0);
});

test('whatever comes late, the record is that of a map from each time to its first value', () => {
  const reading = fc.record({ tMs: fc.integer({ min: 0, max: 30 }), value: fc.integer({ min: 0, max: 3 }) });
  const stored = fc.uniqueArray(reading, { selector: ({ tMs }) => tMs, maxLength: 20 });
  fc.assert(
    fc.property(stored, fc.array(reading, { maxLength: 40 }), (some, late) => {
      const ascending = some.toSorted((a, b) => a.tMs - b.tMs);
      const first = new Map<number, number>();
      for (const { tMs, value } of [...ascending, ...late]) if (!first.has(tMs)) first.set(tMs, value);
      const expected = [...first].toSorted(([a], [b]) => a - b);
      const sealed = record(
        ascending.map(({ tMs }) => tMs),
        ascending.map(({ value }) => value),
      );
      const merged = mergeLate(sealed, late);
      expect(merged.record).toEqual(
        record(
          expected.map(([tMs]) => tMs),
          expected.map(([, value]) => value),
        ),
      );
      expect(merged.added).toBe(first.size - some.length);
      expect(merged.added + merged.repeats + merged.conflicts.length).toBe(late.length);
      const conflicting = late.filter(({ tMs, value }) => first.get(tMs) !== value);
      expect(merged.conflicts).toEqual(
        conflicting
          .toSorted((a, b) => a.tMs - b.tMs)
          .map(({ tMs, value }) => ({ tMs, kept: first.get(tMs), turnedAway: value })),
      );
    }),
  );
});
