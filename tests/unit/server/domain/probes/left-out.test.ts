import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isSuspect, leftOutOf, withoutLeftOut } from '../../../../../server/domain/probes/left-out.ts';
import { probeRecord } from '../../../../../shared/exposure/series.ts';

const MIN_MS = 60_000;
const judging = { quantity: 'air/temperature', maxGapMs: 15 * MIN_MS };
const kinds = (points: readonly (readonly [minute: number, value: number])[], quantity = judging.quantity) =>
  leftOutOf(
    probeRecord({
      timesMs: points.map(([minute]) => minute * MIN_MS),
      values: points.map(([, value]) => value),
    }),
    { ...judging, quantity },
  ).map(({ index, kind }) => `${index} ${kind}`);

// 85.0 °C at power-up and −55…125 °C: [ONE-WIRE]; 20 K and one gap: the rule as DEVELOPERS.md states it
describe('a temperature that is no measurement', () => {
  test('is 85.0 °C alone, beside 21 °C, and beside other 85.0 °C only', () => {
    expect(kinds([[0, 85]])).toEqual(['0 power-up']);
    expect(
      kinds([
        [0, 21],
        [1, 85],
        [2, 21],
      ]),
    ).toEqual(['1 power-up']);
    expect(
      kinds([
        [0, 85],
        [1, 85],
        [2, 85],
      ]),
    ).toEqual(['0 power-up', '1 power-up', '2 power-up']);
  });

  test('is 85.0 °C 15 min 1 s from 70 °C, and is not at 15 min exactly', () => {
    expect(
      kinds([
        [0, 70],
        [15 + 1 / 60, 85],
      ]),
    ).toEqual(['1 power-up']);
    expect(
      kinds([
        [0, 70],
        [15, 85],
      ]),
    ).toEqual([]);
  });

  test('is 85.0 °C beside 64.9 °C, and is not beside 65 °C or 105 °C', () => {
    expect(
      kinds([
        [0, 64.9],
        [1, 85],
      ]),
    ).toEqual(['1 power-up']);
    expect(
      kinds([
        [0, 65],
        [1, 85],
      ]),
    ).toEqual([]);
    expect(
      kinds([
        [0, 105],
        [1, 85],
      ]),
    ).toEqual([]);
  });

  test('is −127 °C, −55.1 °C and 125.1 °C in any company, and is not −55 °C, 125 °C, 84.9375 °C or 85.0625 °C', () => {
    expect(
      kinds([
        [0, -127],
        [1, -55.1],
        [2, 125.1],
      ]),
    ).toEqual(['0 disconnected', '1 beyond-range', '2 beyond-range']);
    expect(
      kinds([
        [0, -55],
        [1, 125],
        [30, 84.9375],
        [60, 85.0625],
      ]),
    ).toEqual([]);
  });

  test('is 85.0 °C sent as 185 °F or as 358.15 K', () => {
    expect(kinds([[0, ((185 - 32) * 5) / 9]])).toEqual(['0 power-up']);
    expect(kinds([[0, 358.15 - 273.15]])).toEqual(['0 power-up']);
  });

  test('is nothing that is no temperature: 85 %RH and 85 lx stay', () => {
    expect(kinds([[0, 85]], 'air/humidity')).toEqual([]);
    expect(kinds([[0, 85]], 'light/illuminance')).toEqual([]);
  });
});

const readings = fc
  .uniqueArray(
    fc.record({ minute: fc.nat(120), value: fc.constantFrom(20, 21, 65, 80, 85, 85, 104, 126, -127) }),
    { selector: ({ minute }) => minute, minLength: 1, maxLength: 40 },
  )
  .map((some) => some.toSorted((a, b) => a.minute - b.minute));
const recordOf = (some: readonly { minute: number; value: number }[]) =>
  probeRecord({ timesMs: some.map(({ minute }) => minute * MIN_MS), values: some.map(({ value }) => value) });

test('what is left out in a cut of the record is what is left out in all of it, wherever a gap of 15 min lies around it', () => {
  fc.assert(
    fc.property(readings, fc.nat(120), fc.nat(120), (some, a, b) => {
      const [from, to] = [Math.min(a, b), Math.max(a, b)];
      const timesOut = (part: typeof some) => {
        const record = recordOf(part);
        return leftOutOf(record, judging).map(({ index }) => (record.timesMs[index] as number) / MIN_MS);
      };
      const inside = (minute: number) => minute >= from && minute <= to;
      const cut = some.filter(({ minute }) => minute >= from - 15 && minute <= to + 15);
      expect(timesOut(cut).filter(inside)).toEqual(timesOut(some).filter(inside));
    }),
    { seed: 5 },
  );
});

test('each reading judged as it comes, knowing all others, is judged as in the record; knowing fewer, never as sounder', () => {
  fc.assert(
    fc.property(readings, (some) => {
      const at = some.map(({ minute, value }) => ({ tMs: minute * MIN_MS, value }));
      const out = new Map(leftOutOf(recordOf(some), judging).map(({ index, kind }) => [index, kind]));
      at.forEach((reading, index) => {
        const asked = { ...reading, quantity: judging.quantity };
        const knowingAll = isSuspect(asked, at, judging);
        expect(knowingAll).toBe(out.get(index) ?? null);
        const knowingEarlier = isSuspect(asked, at.slice(0, index), judging);
        if (knowingEarlier === null) expect(knowingAll).toBeNull();
      });
    }),
    { seed: 6 },
  );
});

test('a record without any is handed on itself, and one of 3 with 1 keeps the other 2', () => {
  const sound = recordOf([{ minute: 0, value: 20 }]);
  expect(withoutLeftOut(sound, judging)).toBe(sound);
  const kept = withoutLeftOut(
    recordOf([
      { minute: 0, value: 20 },
      { minute: 1, value: 85 },
      { minute: 2, value: 22 },
    ]),
    judging,
  );
  expect([...kept.timesMs]).toEqual([0, 2 * MIN_MS]);
  expect([...kept.values]).toEqual([20, 22]);
});
