import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { CARD_TIMES_MS, cardTrace } from '../../../../../server/domain/chart/card-trace.ts';
import { medianCurve } from '../../../../../shared/exposure/median.ts';
import { probeRecord } from '../../../../../shared/exposure/series.ts';
import { chartPoints } from '../../../../../shared/exposure/series-points.ts';
import { traceIn } from '../../../../../web/bench/trace.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 1_440 * MINUTE_MS;
const FROM_MS = Date.UTC(2026, 5, 1, 7, 13);

function curveOf(readings: readonly (readonly [number, number])[]) {
  const record = probeRecord({
    timesMs: readings.map(([minute]) => FROM_MS + minute * MINUTE_MS),
    values: readings.map(([, value]) => value),
  });
  return medianCurve([record], { maxGapMs: 15 * MINUTE_MS });
}
const never = () => false;
const read = (readings: readonly (readonly [number, number])[], decimals = 2) => {
  const trace = cardTrace(curveOf(readings), { fromMs: FROM_MS, decimals, isSuspect: never });
  return traceIn(trace, { fromMs: FROM_MS, times: CARD_TIMES_MS });
};

describe('the trace of a card', () => {
  test('has 84 points of 15 min and 36 of 5 min, which fill a day', () => {
    const steps = CARD_TIMES_MS.slice(1).map((ms, i) => (ms - (CARD_TIMES_MS[i] ?? 0)) / MINUTE_MS);
    expect(CARD_TIMES_MS).toHaveLength(120);
    expect([CARD_TIMES_MS[0], CARD_TIMES_MS.at(-1)]).toEqual([7.5 * MINUTE_MS, DAY_MS - 2.5 * MINUTE_MS]);
    expect(new Set(steps)).toEqual(new Set([15, 10, 5]));
  });

  test('of one reading between hours of nothing is one point with its value, all others are gaps', () => {
    const points = read([[100, 21.37]]);
    expect(points.filter(({ value }) => value !== null)).toEqual([
      { tMs: FROM_MS + 97.5 * MINUTE_MS, value: 21.37, min: 21.37, max: 21.37 },
    ]);
    expect(points).toHaveLength(120);
  });

  test('keeps a spike of one reading as the highest of its point: 20 °C with 31.5 °C once', () => {
    const readings = Array.from({ length: 288 }, (_, i) => [i * 5, i === 100 ? 31.5 : 20] as const);
    const spiked = read(readings).filter(({ max }) => (max ?? 0) > 20);
    expect(Math.max(...spiked.map(({ max }) => max ?? 0))).toBe(31.5);
    expect(spiked.map(({ min }) => min)).toContain(20);
  });

  test('marks the points that a finding covers, and only those with a value', () => {
    const curve = curveOf([
      [5, 20],
      [10, 20],
    ]);
    const trace = cardTrace(curve, { fromMs: FROM_MS, decimals: 2, isSuspect: () => true });
    expect(trace.suspect).toEqual([0]);
    expect(traceIn(trace, { fromMs: FROM_MS, times: CARD_TIMES_MS })[0]).toMatchObject({ suspect: true });
  });
});

test('read by the page it is what a chart of that grain draws, to half a step of the last decimal', () => {
  const reading = fc.tuple(fc.integer({ min: 0, max: 1_439 }), fc.double({ min: -40, max: 60, noNaN: true }));
  const readings = fc.uniqueArray(reading, { selector: ([minute]) => minute, maxLength: 200 });
  fc.assert(
    fc.property(readings, fc.constantFrom(1, 2, 3), (unsorted, decimals) => {
      const sorted = unsorted.toSorted(([a], [b]) => a - b);
      const drawn = [
        { fromMs: FROM_MS, toMs: FROM_MS + 1_260 * MINUTE_MS, points: 84 },
        { fromMs: FROM_MS + 1_260 * MINUTE_MS, toMs: FROM_MS + DAY_MS, points: 36 },
      ].flatMap((stretch) => chartPoints(curveOf(sorted), stretch));
      const expected = new Map(drawn.filter(({ value }) => value !== null).map((one) => [one.tMs, one]));
      const found = read(sorted, decimals).filter(({ value }) => value !== null);
      expect(found.map(({ tMs }) => tMs)).toEqual([...expected.keys()]);
      const half = 0.5 / 10 ** decimals + 1e-9;
      for (const { tMs, value, min, max } of found) {
        const exact = expected.get(tMs);
        expect(Math.abs((value ?? 0) - (exact?.value ?? Number.NaN))).toBeLessThanOrEqual(half);
        expect(Math.abs((min ?? 0) - (exact?.min ?? Number.NaN))).toBeLessThanOrEqual(half);
        expect(Math.abs((max ?? 0) - (exact?.max ?? Number.NaN))).toBeLessThanOrEqual(half);
      }
    }),
    { numRuns: 50 },
  );
});
