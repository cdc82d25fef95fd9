import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { pointsFromHours, type SummedHour } from '../../../../server/domain/chart/from-hours.ts';
import { summaryOf } from '../../../../server/domain/seal/summary.ts';
import { DEFAULT_MAX_GAP_MS, segmentsOf } from '../../../../shared/exposure/coverage.ts';
import { bandExposure } from '../../../../shared/exposure/integrate.ts';
import { MS_PER_HOUR, type ProbeRecord, probeRecord } from '../../../../shared/exposure/series.ts';

/** The hours of a record, each summed up by itself, as the store keeps them. */
function hoursOf({ timesMs, values }: ProbeRecord): SummedHour[] {
  const hours = new Map<number, [number, number][]>();
  timesMs.forEach((tMs, i) => {
    const hour = Math.floor(tMs / MS_PER_HOUR);
    hours.set(hour, [...(hours.get(hour) ?? []), [tMs, values[i] as number]]);
  });
  return [...hours].map(([hour, readings]) => {
    const record = probeRecord({ timesMs: readings.map(([t]) => t), values: readings.map(([, v]) => v) });
    return { hour, ...summaryOf(record, { maxGapMs: DEFAULT_MAX_GAP_MS }) };
  });
}

const minutes = (...readings: readonly (readonly [number, number])[]) =>
  probeRecord({ timesMs: readings.map(([m]) => m * 60_000), values: readings.map(([, v]) => v) });
const day = { fromMs: 0, toMs: 24 * MS_PER_HOUR };

describe('a chart drawn from hours', () => {
  test('shows a spike of one reading among 144 of a day in 12 points', () => {
    const readings = Array.from({ length: 144 }, (_, i) => [i * 10, i === 77 ? 41 : 20] as const);
    const points = pointsFromHours(hoursOf(minutes(...readings)), { ...day, points: 12 });
    expect(points).toHaveLength(12);
    expect(points.map(({ max }) => max)).toEqual([20, 20, 20, 20, 20, 20, 41, 20, 20, 20, 20, 20]);
  });

  test('leaves a gap of 8 h a gap: 4 of 12 points of 2 h have nothing, given once', () => {
    const readings = [0, 8 * 60].flatMap((from) =>
      Array.from({ length: 49 }, (_, i) => [2 * from + i * 10, 20] as const),
    );
    const points = pointsFromHours(hoursOf(minutes(...readings)), { ...day, points: 12 });
    expect(points.map(({ value }) => value)).toEqual([20, 20, 20, 20, 20, null, 20, 20, 20, 20]);
  });

  test('shares a straight piece across the hour out at the hour: 20 to 26 °C from 1:55 to 2:05 is 21.5 then 24.5', () => {
    const points = pointsFromHours(hoursOf(minutes([115, 20], [125, 26])), {
      fromMs: 0,
      toMs: 4 * MS_PER_HOUR,
      points: 2,
    });
    // by hand: the mean of 20 and 23, held to what was read in the hour, and of 23 and 26 likewise
    expect(points.map(({ value }) => value)).toEqual([20, 26]);
  });

  test('of any readings has the mean and the extremes of the exposure over the same hours', () => {
    const anyReadings = fc
      .array(fc.tuple(fc.integer({ min: 1, max: 1_800 }), fc.double({ min: -20, max: 50, noNaN: true })), {
        minLength: 2,
        maxLength: 200,
      })
      .map((steps) => {
        let tS = 0;
        return steps.map(([stepS, value]) => {
          tS += stepS;
          return [tS / 60, value] as const;
        });
      });
    fc.assert(
      fc.property(anyReadings, fc.integer({ min: 1, max: 6 }), (readings, points) => {
        const record = minutes(...readings);
        const toMs =
          Math.ceil(((record.timesMs.at(-1) ?? 0) + 1) / (points * MS_PER_HOUR)) * points * MS_PER_HOUR;
        const lengthMs = toMs / points;
        const segments = segmentsOf(record, { maxGapMs: DEFAULT_MAX_GAP_MS });
        for (const { tMs, value, min, max } of pointsFromHours(hoursOf(record), {
          fromMs: 0,
          toMs,
          points,
        })) {
          if (value === null) continue;
          const span = { fromMs: tMs - lengthMs / 2, toMs: tMs + lengthMs / 2 };
          const exposure = bandExposure(segments, [{ ...span, low: null, high: null }], span);
          const read = [...record.values].filter(
            (_, i) =>
              (record.timesMs[i] as number) >= span.fromMs && (record.timesMs[i] as number) < span.toMs,
          );
          expect([min, max]).toEqual([Math.min(...read), Math.max(...read)]);
          if (exposure.mean === null) continue;
          const held = Math.min(Math.max(exposure.mean, min as number), max as number);
          // both are sums of at most 200 products of numbers below 50: 1e-9 leaves room for rounding
          expect(Math.abs(value - held)).toBeLessThan(1e-9);
        }
      }),
      { seed: 7, numRuns: 300 },
    );
  });
});
