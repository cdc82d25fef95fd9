import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { WIDE_OPEN } from '../../../../shared/exposure/bands.ts';
import { segmentsOf } from '../../../../shared/exposure/coverage.ts';
import { derivedCurve } from '../../../../shared/exposure/derive.ts';
import type { BandExposure } from '../../../../shared/exposure/integrate.ts';
import { medianCurve } from '../../../../shared/exposure/median.ts';
import { type ProbeRecord, probeRecord } from '../../../../shared/exposure/series.ts';
import { sumOver } from '../../../../shared/exposure/sums.ts';
import { ask, joined, type Question, questionArbitrary, recordArbitrary } from './arbitraries.ts';

describe('for 200 random series', () => {
  const always = (check: (record: ProbeRecord, question: Question) => void) =>
    fc.assert(fc.property(recordArbitrary, questionArbitrary, check), { numRuns: 200 });
  // 1e-9 of the size in question: far above the rounding of some 20 sums, far below what anyone reads.
  const near = (actual: number, expected: number) =>
    expect(Math.abs(actual - expected)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(expected)));

  test('hours below, within and above sum to the covered hours within 1e-9', () => {
    always((record, question) => {
      const exposure = ask(segmentsOf(record, joined), question);
      const sum = exposure.hoursBelow + exposure.hoursWithin + exposure.hoursAbove;
      expect(Math.abs(sum - exposure.coveredHours)).toBeLessThanOrEqual(1e-9 * exposure.coveredHours);
    });
  });

  test('a window cut in two gives two parts that add to the whole, and extremes that meet', () => {
    fc.assert(
      fc.property(
        recordArbitrary,
        questionArbitrary,
        fc.double({ min: 0, max: 1, noNaN: true }),
        (record, question, share) => {
          const { fromMs, toMs } = question.window;
          const cutMs = fromMs + Math.floor((toMs - fromMs) * share);
          const segments = segmentsOf(record, joined);
          const whole = ask(segments, question);
          const left = ask(segments, { ...question, window: { fromMs, toMs: cutMs } });
          const right = ask(segments, { ...question, window: { fromMs: cutMs, toMs } });
          for (const name of ['coveredHours', 'hoursBelow', 'hoursWithin', 'hoursAbove'] as const) {
            near(left[name] + right[name], whole[name]);
          }
          near(left.unitHoursBelow + right.unitHoursBelow, whole.unitHoursBelow);
          near(left.unitHoursAbove + right.unitHoursAbove, whole.unitHoursAbove);
          const least = [left.min, right.min].filter((value) => value !== null);
          const most = [left.max, right.max].filter((value) => value !== null);
          expect(least.length === 0 ? null : Math.min(...least)).toBe(whole.min);
          expect(most.length === 0 ? null : Math.max(...most)).toBe(whole.max);
        },
      ),
      { numRuns: 200 },
    );
  });

  test('limits 1 K wider never give more time or area outside', () => {
    always((record, question) => {
      const pieces = question.pieces.map((piece) => ({ ...piece, low: piece.low - 1, high: piece.high + 1 }));
      const narrow = ask(segmentsOf(record, joined), question);
      const wide = ask(segmentsOf(record, joined), { ...question, pieces });
      for (const name of ['hoursBelow', 'hoursAbove', 'unitHoursBelow', 'unitHoursAbove'] as const) {
        expect(wide[name]).toBeLessThanOrEqual(narrow[name] + 1e-12);
      }
    });
  });

  test('turned upside down, below and above change places to the last bit', () => {
    always((record, question) => {
      const turned = probeRecord({ timesMs: record.timesMs, values: record.values.map((value) => -value) });
      const pieces = question.pieces.map((piece) => ({ ...piece, low: -piece.high, high: -piece.low }));
      const up = ask(segmentsOf(record, joined), question);
      const down = ask(segmentsOf(turned, joined), { ...question, pieces });
      expect([down.hoursAbove, down.hoursBelow, down.unitHoursAbove, down.unitHoursBelow]).toEqual([
        up.hoursBelow,
        up.hoursAbove,
        up.unitHoursBelow,
        up.unitHoursAbove,
      ]);
      near(down.hoursWithin, up.hoursWithin);
    });
  });

  test('a reading put halfway between two joined ones, on the line, changes nothing', () => {
    always((record, question) => {
      const timesMs: number[] = [];
      const values: number[] = [];
      record.timesMs.forEach((timeMs, i) => {
        const beforeMs = record.timesMs[i - 1] ?? Number.NEGATIVE_INFINITY;
        if (timeMs - beforeMs <= joined.maxGapMs) {
          timesMs.push((beforeMs + timeMs) / 2);
          values.push(((record.values[i - 1] ?? Number.NaN) + (record.values[i] ?? Number.NaN)) / 2);
        }
        timesMs.push(timeMs);
        values.push(record.values[i] ?? Number.NaN);
      });
      const plain = ask(segmentsOf(record, joined), question);
      const dense = ask(segmentsOf(probeRecord({ timesMs, values }), joined), question);
      for (const [name, expected] of Object.entries(plain)) {
        const actual = dense[name as keyof BandExposure];
        if (expected === null || actual === null) expect(actual).toBe(expected);
        else near(actual, expected);
      }
    });
  });

  test('the integral is the mean times the covered seconds', () => {
    always((record, question) => {
      const segments = segmentsOf(record, joined);
      const { mean, coveredHours } = ask(segments, question);
      near(sumOver(segments, WIDE_OPEN, question.window).area, (mean ?? 0) * coveredHours * 3_600_000);
    });
  });

  test('the probes of a position in any order give the same curves to the last bit', () => {
    const shuffled = fc
      .array(recordArbitrary, { minLength: 2, maxLength: 5 })
      .chain((records) =>
        fc.tuple(fc.constant(records), fc.shuffledSubarray(records, { minLength: records.length })),
      );
    const derived = (a: ProbeRecord[], b: ProbeRecord[]) =>
      derivedCurve({ inputs: { a, b }, ...joined, f: (values) => values.a * values.b });
    fc.assert(
      fc.property(shuffled, recordArbitrary, ([records, others], humidity) => {
        expect(medianCurve(others, joined)).toStrictEqual(medianCurve(records, joined));
        expect(derived(others, [humidity])).toStrictEqual(derived(records, [humidity]));
      }),
      { numRuns: 200 },
    );
  });
});
